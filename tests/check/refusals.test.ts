import { describe, expect, test } from 'vitest';
import type { BlankSolution } from '../../src/adjust/blank_adjustment.ts';
import type { MatSolution } from '../../src/adjust/mat_summary.ts';
import { refuseIfRodMoved, refuseIfUntied, refuseUnlessPlaced, refuseWithoutTags } from '../../src/check/refusals.ts';
import type { TaggedView } from '../../src/check/tagged_views.ts';
import { InputError } from '../../src/plan/input_error.ts';

const view = (file: string, twice: number[] = []): TaggedView => ({
  photo: {
    file,
    width: 40,
    height: 30,
    luma: new Uint8Array(1200).fill(200),
    blueDifference: new Uint8Array(300).fill(128),
    redDifference: new Uint8Array(300).fill(128),
  },
  reading: { tags: [], twice, foreign: [] },
  faults: [],
});
const tagged = [view('01.jpg'), view('02.jpg')];
const mat = (more: Partial<MatSolution>): MatSolution =>
  ({ residuals: [0.2, 0.3], levels: { corner: 0.2 }, moved: undefined, ...more }) as MatSolution;

describe('one sentence that names the photo, the place and what to do', () => {
  test.each<[string, () => void, RegExp]>([
    ['no camera stands', () => refuseUnlessPlaced(tagged, undefined), /two tags of one page.*shoot again/],
    [
      'a page moved',
      () => refuseUnlessPlaced(tagged, mat({ moved: { photo: 1, tile: 2, byMm: 3.04 } as MatSolution['moved'] })),
      /In 02\.jpg page 3 lies about 3\.0 mm .*tape the pages down/,
    ],
    [
      'photos fit no one mat',
      () => refuseUnlessPlaced(tagged, mat({ residuals: [9, 4], levels: { corner: 7 } as MatSolution['levels'] })),
      /contradict each other.*01\.jpg by 9 pixels/,
    ],
    [
      'the rod moved',
      () => refuseIfRodMoved(tagged, { misses: [0.1, -1.23] } as BlankSolution),
      /In 02\.jpg the blank lies about 1\.2 mm .*without touching it/,
    ],
    ['pages hang on nothing', () => refuseIfUntied(undefined), /two neighbouring pages at once/],
  ])('%s', (_, refuse, said) => {
    expect(refuse).toThrow(InputError);
    expect(refuse).toThrow(said);
  });

  test('and where all is well nothing is refused', () => {
    expect(() => refuseUnlessPlaced(tagged, mat({}))).not.toThrow();
    expect(() => refuseIfRodMoved(tagged, { misses: [0.3, -0.4] } as BlankSolution)).not.toThrow();
  });
});

test('without a tag in any photo the likeliest reason is said', async () => {
  const load = async () => tagged[0]!.photo;
  await expect(refuseWithoutTags([], load)).rejects.toThrow(/names no photos/);
  await expect(refuseWithoutTags([view('03.jpg', [14])], load)).rejects.toThrow(/03\.jpg shows the same page .*tag 14/);
});
