import { beforeEach, expect, test, vi } from 'vitest';
import type { ActionContext } from '../../src/app/session/action_context.ts';
import type { AskedCheck } from '../../src/app/session/asked_check.ts';
import type { CheckUnderWay } from '../../src/app/session/check_under_way.ts';
import { makeMeasuringSoFar } from '../../src/app/session/measuring_so_far.ts';
import type { AppState, OpenBuild } from '../../src/app/session/state.ts';
import { startHistory } from '../../src/app/edits/history.ts';
import { photoEntries } from '../../src/app/files/added_photos.ts';
import type { Plan } from '../../src/plan/plan.ts';
import type { CheckAnswer } from '../../src/app/workers/check_tasks.ts';

const guide = { id: 'G1', kind: 'hook-keeper' as const, at: 200 };
const plan: Plan = {
  title: 'Made-up rod',
  unit: 'mm',
  blank: { length: 900, tipDiameter: 2, buttDiameter: 8, finish: 'dark' },
  positions: [guide],
  tolerance: { along: 1.5, roll: 2 },
};
const photoNamed = (name: string) => ({ id: `id of ${name}`, file: new File([name], name, { type: 'image/jpeg' }) });
type Photo = ReturnType<typeof photoNamed>;

/** A build that photos come into, and what is asked of the worker meanwhile; nothing is answered. */
function openBuild() {
  const base = { plan, thread: '#1f5f8b', lengths: 'mm' as const };
  const shoot = { id: 'shoot', stage: 'marks' as const, mat: {}, rest: { kind: 'flat' as const } };
  const kept = {
    schema: 'prewrap.build/1' as const,
    id: 'rod',
    revision: 1,
    createdAt: '',
    changedAt: '',
    sample: false,
  };
  const files = new Map<string, File>();
  const withPhotos = (photos: readonly Photo[]): OpenBuild => ({
    kept,
    checks: [],
    history: startHistory({
      ...base,
      shoot: {
        ...shoot,
        rollReference: 'guides',
        photos: photoEntries(
          'rod',
          photos.map(({ file }) => file),
          [],
          photos.map(({ id }) => id),
        ).entries,
      },
    }),
  });
  let build = withPhotos([]);
  const asked: { name: string; photos: string[] }[] = [];
  let stop: (() => void) | undefined;
  const underWay: CheckUnderWay = {
    ask: ({ name, request }: AskedCheck) => {
      if (asked.at(-1)?.name !== name) stop?.();
      asked.push({ name, photos: request.photos.map((photo) => photo.name) });
      return new Promise<CheckAnswer>((_, reject) => {
        stop = () => reject(new Error('left'));
      });
    },
    leave: () => stop?.(),
  };
  const shelf = {
    photoFile: async (id: string) => files.get(id),
    mats: { all: async () => [] },
    lenses: { all: async () => [] },
  };
  const measuring = makeMeasuringSoFar(
    {
      dispatch: () => {},
      state: () => ({ build }) as AppState,
      services: Promise.resolve({ shelf }),
    } as unknown as ActionContext,
    underWay,
  );
  return {
    asked,
    ...measuring,
    comeIn: (...photos: readonly Photo[]) => {
      const before = build;
      for (const { id, file } of photos) files.set(id, file);
      build = withPhotos(photos);
      measuring.followPhotos(before, build);
    },
  };
}

beforeEach(() => void vi.stubGlobal('document', { baseURI: 'http://localhost/' }));
const [one, two, three] = ['1.jpg', '2.jpg', '3.jpg'].map(photoNamed) as [Photo, Photo, Photo];
const namesOf = (asked: readonly { photos: string[] }[]) => asked.map(({ photos }) => photos.join(' '));

/** A build with a photo in hand and measured, two more coming. */
async function oneInTwoComing() {
  const open = openBuild();
  open.comeIn(one);
  await vi.waitFor(() => expect(open.asked).toHaveLength(1));
  void open.measureAhead([two, three]);
  await vi.waitFor(() => expect(open.asked).toHaveLength(2));
  return open;
}

test('photos that are coming are measured with those in hand, and the same is asked once they are in', async () => {
  const { asked, comeIn, measureAhead } = await oneInTwoComing();
  // one of them came in: what is being measured goes on
  comeIn(one, two);
  void measureAhead([three]);
  await vi.waitFor(() => expect(asked).toHaveLength(3));
  comeIn(one, two, three);
  void measureAhead([]);
  await vi.waitFor(() => expect(asked).toHaveLength(4));
  expect(namesOf(asked)).toEqual(['1.jpg', ...Array<string>(3).fill('1.jpg 2.jpg 3.jpg')]);
  expect(new Set(asked.slice(1).map(({ name }) => name)).size).toBe(1);
});

test('where they are not kept, what came in meanwhile is measured without them', async () => {
  const { asked, comeIn, measureAhead } = await oneInTwoComing();
  comeIn(one, two);
  void measureAhead([]);
  await vi.waitFor(() => expect(asked).toHaveLength(3));
  expect(namesOf(asked)).toEqual(['1.jpg', '1.jpg 2.jpg 3.jpg', '1.jpg 2.jpg']);
});
