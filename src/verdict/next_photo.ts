import type { Tolerance } from '../plan/plan.ts';
import { type AdviceContext, settledBy } from './advice.ts';
import { coverageFactor } from './decision.ts';
import { judgedDoubt } from './judged_doubt.ts';
import type { Matching } from './match.ts';
import type { PhotoForItem } from './next_photo_words.ts';
import type { FurtherPhotoWanted, MeasuredShoot, OpenVerdict } from './measured_shoot.ts';
import { turnedBy } from './relative_rolls.ts';
import type { ReportItem, ReportNextPhoto } from './report.ts';
import { isWrong } from './rod_verdict.ts';

/** Less than this share of its doubt is no help to an item. */
const helps = 0.1;

/** An item that was found: its place's index, and the expanded uncertainty along it is judged by, mm. */
interface FoundItem {
  item: ReportItem;
  place: number;
  judgedAlong: number;
}

/**
 * The photo that helps most where only a photo can settle something (`items` in the order of the plan's); `none` where
 * none does.
 */
export function nextPhotoOf(
  {
    items,
    matching,
    measured: { places, scale, furtherPhoto },
  }: { items: readonly ReportItem[]; matching: Matching; measured: MeasuredShoot },
  circumstances: Pick<AdviceContext, 'tolerance' | 'missingReference' | 'scaleShared'>,
): ReportNextPhoto | 'none' | undefined {
  if (!furtherPhoto) return undefined;
  const open = matching.pairs.flatMap(({ planned, found: place }) => {
    const item = items[planned]!;
    if (isWrong(item) || settledBy(item, circumstances) !== 'photo') return [];
    return openVerdicts({ item, place, judgedAlong: judgedDoubt(places[place]!, scale) }, circumstances.tolerance);
  });
  if (open.length === 0) return undefined;
  const wanted = furtherPhoto(open);
  return wanted ? reportNextPhoto(wanted, open) : 'none';
}

type Open = OpenVerdict & { id: string };

/** The verdicts of an item that its doubt keeps open. */
function openVerdicts({ item, place, judgedAlong }: FoundItem, tolerance: Tolerance): Open[] {
  const open = (on: Open['on'], offset: number, expanded: number, limit: number): Open => ({
    id: item.id,
    place,
    on,
    u: expanded / coverageFactor,
    needed: Math.abs(limit - Math.abs(offset)) / coverageFactor,
  });
  const roll = turnedBy(item);
  return [
    ...(item.alongVerdict === 'unsure' && item.along
      ? [open('along', item.along.value - item.planned, judgedAlong, tolerance.along)]
      : []),
    ...(item.rollVerdict === 'unsure' && roll ? [open('roll', roll.value, roll.expanded, tolerance.roll)] : []),
  ];
}

function reportNextPhoto(wanted: FurtherPhotoWanted, open: readonly Open[]): ReportNextPhoto {
  const { over, from, height, aim, stand } = wanted;
  return {
    over: typeof over === 'string' ? over : { id: open.find(({ place }) => place === over.place)!.id },
    from,
    height,
    aim,
    stand,
    expects: open.map(({ id, on, u, needed }, i) => ({
      id,
      on,
      before: coverageFactor * u,
      after: coverageFactor * wanted.expected[i]!,
      settles: wanted.expected[i]! <= needed,
    })),
  };
}

/** What the photo does for this item: for the verdict it helps most, where it helps one. */
export function photoForItem(photo: ReportNextPhoto, id: string): PhotoForItem | undefined {
  const own = photo.expects.filter((expects) => expects.id === id && expects.after < (1 - helps) * expects.before);
  const best = own.toSorted((a, b) => a.after / a.before - b.after / b.before)[0];
  return best && { photo, expects: best };
}
