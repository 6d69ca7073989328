import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files that take longest, the longest first. */
const longest = [
  'check/pipeline',
  'check/world_check',
  'cli/verify_shoots',
  'adjust/mat_adjustment',
  'adjust/mat_halves',
  'check/find_rings',
  'check/repeated_photos',
  'seeing/finder',
  'verdict/pattern',
  'fuzz/parsers',
  'browser/camera_to_check',
  'browser/accessibility',
  'browser/camera',
  'browser/photos',
  'browser/sample',
  'browser/checks',
  'browser/kept',
  'browser/by_hand',
  'browser/plain_http',
];

/**
 * Begins with the files that take longest: begun last, one of them would keep a single core busy while the others wait.
 * The rest follows as it would, larger files first.
 */
export class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files);
    const place = ({ moduleId }: TestSpecification) => {
      const found = longest.findIndex((name) => moduleId.endsWith(`tests/${name}.test.ts`));
      return found < 0 ? longest.length : found;
    };
    return sorted.toSorted((a, b) => place(a) - place(b));
  }
}
