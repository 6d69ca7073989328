import { InputError } from '../input_error.ts';
import { standardGravity } from '../lengths/units.ts';
import { sectionAt } from '../taper.ts';
import { type Stiffness, stiffnessAt } from './stiffness.ts';

/** A known weight hung on the tip of a blank held level, and how far it went down at three or more places. */
export interface HangTest {
  /** newtons */
  weight: number;
  /** arc length where the blank is held, mm from the tip */
  clampAt: number;
  /** drop against the unloaded blank at places along it, mm */
  drops: readonly { at: number; drop: number }[];
}

/** How far readings of drops may contradict each other before one is a slip, mm, and as a part of the largest. */
const roughReading = { mm: 3, share: 0.03 };
/** A blank that hangs more steeply than this, drop to length, is a thread: its stiffness no longer counts. */
const mostDrop = 0.9;

/**
 * Throws InputError for drops that no blank held level has, however stiff it is: a weight on the tip turns it down more
 * and more from the hold to the tip (the moment has one sign), so drops grow toward the tip, by ever more, and never by
 * more than the blank between.
 */
export function refuseImpossibleDrops({ drops, clampAt }: HangTest): void {
  const places = [...drops.toSorted((a, b) => a.at - b.at), { at: clampAt, drop: 0 }];
  const largest = Math.max(...drops.map(({ drop }) => drop));
  const rough = Math.max(roughReading.mm, roughReading.share * largest);
  const [tip, last] = [places[0]!, places.at(-2)!];
  const mm = (length: number) => `${length.toFixed(0)} mm`;
  if (last.drop > tip.drop + rough)
    throw new InputError(
      'The drops of the hang test grow from the tip toward the hold, and a blank goes down most at its tip: count their places from the tip.',
    );
  if (tip.drop > mostDrop * (clampAt - tip.at))
    throw new InputError(
      `${mm(tip.at)} from the tip the hang test has a drop of ${mm(tip.drop)} over ${mm(clampAt - tip.at)} of blank: it hangs all but straight down, which tells nothing of its stiffness; measure again with a lighter weight.`,
    );
  for (const [k, { at, drop }] of places.entries()) {
    const [before, after] = [places[k - 1], places[k + 1]];
    if (!before) continue;
    const above = after && before.drop + ((at - before.at) / (after.at - before.at)) * (after.drop - before.drop);
    if (before.drop - drop > at - before.at + rough || (above !== undefined && drop > above + rough))
      throw new InputError(
        `The drops of the hang test do not fit together near ${mm(at)} from the tip: toward the tip a blank goes down by ever more, yet by no more than the blank between two places; measure those there again.`,
      );
  }
}

/**
 * What a blank solid all through would be made of to be so stiff, GPa, and what blanks come to: from a thin wall of
 * glass with fibres round it to solid carbon of the stiffest kind, with room on both sides (from memory).
 */
const usualSolid = { least: 3, most: 250 };

export interface HangTestDoubt {
  text: string;
  cure: string;
  /** how many times stiffer or softer than any blank */
  by: number;
}

/**
 * Where a fitted hang test makes the blank stiffer or softer than blanks are, in words. The weight
 * counts in proportion, so a slip in its unit shows here, and is not taken for a load that is too heavy.
 */
export function hangTestDoubt(
  stiffness: Stiffness,
  { weight, clampAt }: Pick<HangTest, 'weight' | 'clampAt'>,
): HangTestDoubt | undefined {
  const solid = solidModulus(stiffness, clampAt);
  const { least, most } = usualSolid;
  if (solid >= least && solid <= most) return undefined;
  const soft = solid < least;
  const grams = (newtons: number) => `${Number(((newtons * 1000) / standardGravity).toPrecision(2))} g`;
  const bound = grams(weight * ((soft ? least : most) / solid));
  return {
    by: soft ? least / solid : solid / most,
    text: `The hang test makes the blank ${soft ? 'softer' : 'stiffer'} than blanks are: for these drops it takes ${bound} at the ${soft ? 'least' : 'most'}, and ${grams(weight)} is given.`,
    cure: 'Weigh the weight again and check its unit, then the drops and the diameters.',
  };
}

/** What the blank would be made of were it solid, GPa, where its diameter is middling between tip and hold. */
function solidModulus({ stations, law }: Stiffness, clampAt: number): number {
  const middle = Math.sqrt(sectionAt(stations, 0).diameter * sectionAt(stations, clampAt).diameter);
  const solid: Stiffness = { stations: [{ at: 0, diameter: middle }], law };
  return stiffnessAt(solid, 0) / ((Math.PI / 64) * middle ** 4) / 1000;
}
