import { expect, test } from 'vitest';
import { appUnderTest } from './app_page.ts';

const app = appUnderTest();

/** Builds with one finished marks check each, every mark this far (mm) from its planned place. */
const rods = (offsets: readonly (readonly number[])[], sample: boolean) =>
  offsets.map((some, rod) => {
    const plan = {
      title: `Rod ${rod}`,
      unit: 'mm',
      blank: { length: 1500, tipDiameter: 2, buttDiameter: 10, finish: 'dark' },
      positions: some.map((_, i) => ({ id: `G${i}`, kind: 'guide', at: 100 * (i + 1) })),
      tolerance: { along: 1.5, roll: 2 },
    };
    const shoot = { stage: 'marks', mat: {}, rest: { kind: 'flat' }, rollReference: 'guides' };
    const at = `2026-11-1${rod}T10:00:00.000Z`;
    return {
      build: {
        schema: 'prewrap.build/1',
        id: `rod-${rod}`,
        revision: 1,
        createdAt: at,
        changedAt: at,
        sample,
        document: { plan, thread: '#a3342b', lengths: 'mm', shoot: { ...shoot, id: 'round', photos: [] } },
      },
      check: {
        id: `check-${rod}`,
        buildId: `rod-${rod}`,
        at,
        plan,
        shoot: { ...shoot, photos: ['a.jpg'] },
        photoIds: { 'a.jpg': `photo-${rod}` },
        report: {
          schema: 'prewrap.report/1',
          unit: 'mm',
          stage: 'marks',
          verdict: 'ready',
          items: some.map((offset, i) => ({
            id: `G${i}`,
            kind: 'guide',
            planned: 100 * (i + 1),
            found: true,
            along: { value: 100 * (i + 1) + offset, expanded: 0.3 },
            alongVerdict: 'on',
          })),
          extras: [],
          photos: [],
          scale: { along: 1, across: 1, expanded: 0.001 },
          notes: [],
        },
        evidence: { photos: [], rings: [], closeUps: [] },
      },
    };
  });

async function builds(kept: ReturnType<typeof rods>) {
  const page = await app.open();
  await page.evaluate(async (all) => {
    const open = indexedDB.open('prewrap');
    const database = await new Promise<IDBDatabase>((resolve) => {
      open.onsuccess = () => resolve(open.result);
    });
    const writing = database.transaction(['builds', 'checks'], 'readwrite');
    for (const { build, check } of all) {
      writing.objectStore('builds').put(build);
      writing.objectStore('checks').put(check);
    }
    await new Promise((resolve) => writing.addEventListener('complete', resolve));
    database.close();
  }, kept);
  await page.reload();
  await page
    .locator('.card')
    .nth(kept.length - 1)
    .waitFor();
  return page;
}

const towardButt = [
  [0.4, 0.5, 0.3, 0.4],
  [0.45, 0.3, 0.5, 0.4],
  [0.35, 0.5, 0.3, 0.4],
];

test('three rods with marks alike say so on the list of builds; samples count for nothing', async () => {
  const samples = rods([[0.9, 1, 1.1, 1]], true).map(({ build, check }) => ({
    build: { ...build, id: 'sample' },
    check: { ...check, id: 'check of sample', buildId: 'sample' },
  }));
  const page = await builds([...rods(towardButt, false), ...samples]);
  const note = page.getByRole('region', { name: 'What your rods have in common' });
  await expect
    .poll(() => note.getByRole('listitem').allInnerTexts())
    .toEqual(['Your marks sit 0.4 mm toward the butt on average over 3 rods, give or take 0.1.']);
});
