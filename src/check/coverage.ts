import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import type { PlannedGuide } from '../adjust/fit_rings.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { axisPoint } from '../geometry/blank_axis.ts';
import { cameraCentre } from '../geometry/camera.ts';
import { norm, subtract } from '../geometry/vector.ts';
import type { TaggedView } from './tagged_views.ts';

/**
 * A ring of this many pixels across would have been found in one photo; of fewer, down to the second number, in two. A
 * mark's band needs far fewer.
 */
const ringPixels = { one: 40, two: 13 };

/**
 * Stretches of blank (mm from its tip-side end) seen so well that a planned ring (or, without guides, a mark) there would
 * have been found: elsewhere a place without one is not seen, not missing.
 */
export function coveredStretches(
  tagged: readonly TaggedView[],
  mat: MatSolution,
  blank: BlankSolution,
  guides: readonly PlannedGuide[],
): { from: number; to: number }[] {
  const smallest = Math.min(...guides.map(({ guide }) => guide.ringOuter));
  const seen = tagged.flatMap((_, i) => {
    const stretch = blank.covers[i];
    const camera = mat.cameras[i];
    if (!stretch || !camera) return [];
    const distance = norm(subtract(cameraCentre(camera), axisPoint(blank.axis, (stretch.from + stretch.to) / 2)));
    const pixels = guides.length > 0 ? (smallest * camera.intrinsics.focal) / distance : Number.POSITIVE_INFINITY;
    return [{ stretch, pixels }];
  });
  const fair = seen.filter(({ pixels }) => pixels >= ringPixels.two);
  const twice = fair.flatMap((a, i) =>
    fair.slice(i + 1).map((b) => ({
      from: Math.max(a.stretch.from, b.stretch.from),
      to: Math.min(a.stretch.to, b.stretch.to),
    })),
  );
  return [
    ...seen.filter(({ pixels }) => pixels >= ringPixels.one).map(({ stretch }) => stretch),
    ...twice.filter(({ from, to }) => from < to),
  ];
}
