import type { FittedMark } from '../adjust/mark_fit.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { bandLook } from '../vision/finder/bare_blank.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';

/** Without wax seen in it, a band is a mark where this share of its photos show bare blank round it. */
const bareShare = 0.5;

/**
 * The bands that the finder does not take for something else. Fingers, tools, threads and the blank's own end make
 * bands across it too: a mark shows wax in some photo, or bare blank to both sides in at least half of them.
 */
export const marksBorneOut = (
  bands: readonly FittedMark[],
  axis: BlankAxis,
  seen: readonly StripSeen[],
): FittedMark[] =>
  bands.filter(({ tipEdge, buttEdge, views }) => {
    const radius = blankRadius(axis, (tipEdge.value + buttEdge.value) / 2);
    const looks = seen
      .filter(({ view }) => views.includes(view))
      .flatMap(({ classes }) => bandLook(classes, { from: tipEdge.value, to: buttEdge.value }, radius) ?? []);
    if (looks.includes('mark') || looks.length === 0) return true;
    const onIt = looks.filter((look) => look !== 'beside');
    return (
      onIt.length > 0 &&
      !onIt.includes('covered') &&
      onIt.filter((look) => look === 'on-blank').length >= bareShare * onIt.length
    );
  });
