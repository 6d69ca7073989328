import { adjustMat } from '../adjust/mat_adjustment.ts';
import type { TaggedPhoto } from '../adjust/mat_cameras.ts';
import type { MatProfile } from '../adjust/mat_profile.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import type { FittedRing } from '../adjust/fitted_ring.ts';
import { measureLookedAt, type RingLookedAt } from '../adjust/telling_views.ts';
import type { BlankAxis } from '../geometry/blank_axis.ts';
import type { PhotoIndex } from '../photo/photo.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { Stretch } from '../plan/stretch.ts';
import type { Finder } from '../vision/finder/finder.ts';
import { lookAlongStrip } from '../vision/finder/look_along_strip.ts';
import { lookAtLane } from '../vision/finder/look_at_lane.ts';
import { lookAtTip } from '../vision/finder/look_at_tip.ts';
import type { LaneSeen, StripSeen } from '../vision/finder/sighting.ts';
import type { Lane } from '../vision/lane.ts';
import { type MarksInView, searchMarks } from '../vision/mark_search.ts';
import type { AxisStation } from '../vision/outline.ts';
import type { View, ViewIndex } from '../vision/strip.ts';
import type { TipPoint } from '../vision/tip_profile.ts';

/**
 * Pieces of a check's work that are done each by itself: plain data in, plain data out, in any order and on any thread.
 * What comes of one does not depend on who did it.
 */
export interface Pieces {
  /** what the finder sees in the mat's lane in one photo */
  lane: { of: { view: View; index: PhotoIndex; lane: Lane }; gives: LaneSeen | undefined };
  /** where it sees the blank's tip end near a station of its axis in one photo */
  tip: { of: { view: View; end: AxisStation }; gives: TipPoint | undefined };
  /** what it sees along the blank in one view */
  strip: { of: { view: View; index: ViewIndex; axis: BlankAxis; range: Stretch }; gives: StripSeen | undefined };
  /** the bands that one view shows across the blank */
  marks: { of: { view: View; index: ViewIndex; axis: BlankAxis; range: Stretch }; gives: MarksInView };
  /** the mat's adjustment by some photos; `kept` = a kept mat */
  mat: {
    of: { photos: readonly TaggedPhoto[]; readings: MatReadings; kept?: MatProfile | undefined };
    gives: MatSolution | undefined;
  };
  /** one ring, measured by its rims; its views are counted among those that were handed over */
  ring: { of: RingLookedAt; gives: FittedRing };
}

export const pieceNames = ['lane', 'tip', 'strip', 'marks', 'mat', 'ring'] as const satisfies readonly (keyof Pieces)[];
export type PieceName = (typeof pieceNames)[number];

/** Does one piece. Throws what its work throws. */
export type DoPiece = <K extends PieceName>(name: K, of: Pieces[K]['of']) => Pieces[K]['gives'];

/** Pieces as one thread does them, by its own finder. */
export function piecesBy(finder: Finder): DoPiece {
  const ways: { [K in PieceName]: (of: Pieces[K]['of']) => Pieces[K]['gives'] } = {
    lane: ({ view, index, lane }) => lookAtLane(finder, view, index, lane),
    tip: ({ view, end }) => lookAtTip(finder, view, end),
    strip: ({ view, index, axis, range }) => lookAlongStrip(finder, view, index, axis, range),
    marks: ({ view, index, axis, range }) => searchMarks(view, index, axis, range),
    mat: ({ photos, readings, kept }) => adjustMat(photos, readings, kept),
    ring: measureLookedAt,
  };
  return (name, of) => ways[name](of);
}
