import type { FittedMark } from '../adjust/mark_fit.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { type BandLook, bandLook } from '../vision/finder/band_look.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';

const borneOut = {
  /** without wax seen in it, a band is a mark where this share of its photos show bare blank round it */
  bareShare: 0.5,
  /** and more than one photo shows it, or nothing as strong beside it by this share: a shadow's end is not alone */
  clutter: 0.5,
} as const;

/**
 * The bands that the finder does not take for something else. Fingers, tools, threads, shadows' ends and the blank's
 * own make bands across it too: a mark shows wax in some photo, or bare blank to both sides in at least half of them
 * and nothing lying over it in any. One that no photo shows whole, with what lies beside it, is none.
 */
export function marksBorneOut(bands: readonly FittedMark[], axis: BlankAxis, seen: readonly StripSeen[]): FittedMark[] {
  return bands.filter((band) => {
    const looks = looksOf(band, axis, seen);
    if (looks.includes('mark')) return true;
    if (band.views.length === 1 && band.clutter > borneOut.clutter) return false;
    const onIt = looks.filter((look) => look !== 'beside');
    const bare = onIt.filter((look) => look === 'on-blank').length;
    return onIt.length > 0 && !onIt.includes('covered') && bare >= borneOut.bareShare * onIt.length;
  });
}

/** What the photos that show a band say of it. */
function looksOf({ tipEdge, buttEdge, views }: FittedMark, axis: BlankAxis, seen: readonly StripSeen[]): BandLook[] {
  const radius = blankRadius(axis, (tipEdge.value + buttEdge.value) / 2);
  return seen
    .filter(({ view }) => views.includes(view))
    .flatMap(({ classes }) => bandLook(classes, { from: tipEdge.value, to: buttEdge.value }, radius) ?? []);
}
