import type { MatSolution } from '../adjust/mat_summary.ts';
import { spanUncertainty } from '../mat/readings.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { MeasuredScale } from '../verdict/measured_shoot.ts';

/** Whitened residual beyond which two readings contradict each other. */
const contradiction = 3.5;

/**
 * The print scale with its doubt. Where bars and span contradict each other, what they disagree by becomes the doubt and
 * nothing is passed on it.
 */
export function scaleAsFound(
  mat: MatSolution,
  relative: number,
  readings: MatReadings,
): MeasuredScale & { notes: string[] } {
  const notes: string[] = [];
  let u = relative;
  let measured = readings.barAlong !== undefined || mat.readings.span !== undefined;
  const bar = mat.readings.barAlong ?? 0;
  const span = mat.readings.span ?? 0;
  if (Math.abs(bar) > contradiction || Math.abs(span) > contradiction) {
    const bySpan = readings.span ? (Math.abs(span) * spanUncertainty(readings.span.length)) / readings.span.length : 0;
    const gap = (Math.abs(bar) * 0.1) / 100 + bySpan;
    u = Math.max(u, gap);
    measured = false;
    notes.push(
      `The bar along (${readings.barAlong} mm) and the span (${readings.span?.length} mm) contradict each other by ${(100 * gap).toFixed(1)} %: measure both again, the bar with a rule and the span with the tape that laid off the marks.`,
    );
  }
  if (readings.span && mat.readings.span === undefined)
    notes.push('The span was not used: its two tags are not both on pages that the photos show.');
  return { along: mat.printScale.along, across: mat.printScale.across, u, measured, notes };
}
