import type { NamedGuide } from '../../plan/files/guide_set.ts';
import { shownName } from '../../plan/shown_name.ts';

/** A name of more characters is cut short where a number goes behind it: files take names of 200. */
const longestNumbered = 190;

/** A guide shape as it is kept beside those of one's own: under a name of its own where another has that name. */
export function shapeBeside(shape: NamedGuide, own: readonly NamedGuide[]): NamedGuide {
  const same = own.find((one) => one.name === shape.name);
  if (!same || JSON.stringify(same.guide) === JSON.stringify(shape.guide)) return shape;
  const numbered = (n: number) => `${shownName(shape.name, longestNumbered)} (${n})`;
  let n = 2;
  while (own.some((one) => one.name === numbered(n))) n++;
  return { ...shape, name: numbered(n) };
}
