import { oneOfTwo, shownName } from '../shown_name.ts';
import type { BendUnderLoad, LoadName } from '../bend/load_range.ts';
import type { LengthDisplay } from '../lengths/length_text.ts';
import { type Finding, lengthWords } from './finding.ts';

export type BlankMaterial = 'carbon' | 'glass' | 'other';

/**
 * How far a blank's surface may be stretched before it is warned of, as a part of its length: about two thirds of what
 * such laminates are held to break at (from memory: some 1.5 % for carbon, 3 % for glass; wood less).
 */
export const usualStrain: Readonly<Record<BlankMaterial, number>> = { carbon: 0.01, glass: 0.02, other: 0.006 };

/** A line this deep in the blank only lies on it, mm. */
const leastTouch = 0.05;
const pulls: Record<LoadName, string> = { light: 'light', working: 'working', heavy: 'heavy' };

/**
 * What a range of loads shows beyond the working one: line that touches the blank under a light or heavy pull alone, a
 * blank stretched further than its material is known to bear, a pull that could not be followed. `ids` name the guides
 * from tip to butt.
 */
export function loadFindings(
  bends: readonly BendUnderLoad[],
  ids: readonly string[],
  material: BlankMaterial,
  display: LengthDisplay,
): Finding[] {
  const words = (mm: number) => lengthWords(mm, display);
  const names = ['the tip-top', ...ids.map((id) => shownName(id, oneOfTwo)), 'the reel'];
  const working = bends.find(({ name }) => name === 'working')?.solved?.pieces;
  const touches = bends.flatMap(({ name, solved }): Finding[] =>
    name === 'working' || !solved
      ? []
      : solved.pieces.flatMap((piece, k): Finding[] => {
          const told = (working?.[k]?.clearance ?? 0) < -leastTouch;
          if (told || piece.clearance >= -leastTouch) return [];
          return [
            {
              rule: 'line-touches',
              weight: 'look',
              items: [piece.from, piece.to].flatMap((i) => ids[i - 1] ?? []),
              by: -piece.clearance,
              text: `Under the ${pulls[name]} pull the line would run into the blank between ${names[piece.from]} and ${names[piece.to]} by ${words(-piece.clearance)}, ${words(piece.clearanceAt)} from the tip.`,
              cure: 'Bring the two closer, add a guide between them, or take higher rings.',
            },
          ];
        }),
  );
  const limit = usualStrain[material];
  const over = bends.find(({ solved }) => solved !== undefined && solved.strain.most > limit);
  return [
    ...touches,
    ...(over?.solved
      ? [
          {
            rule: 'overload' as const,
            weight: 'look' as const,
            items: [],
            by: over.solved.strain.most,
            text: `Under the ${pulls[over.name]} pull the blank’s surface would be stretched by ${(100 * over.solved.strain.most).toFixed(1)} %, ${words(over.solved.strain.at)} from the tip; more than ${(100 * limit).toFixed(1)} % may break it.`,
            cure: 'Pull less, or at a smaller angle; the rating on the blank prevails.',
          },
        ]
      : []),
  ];
}
