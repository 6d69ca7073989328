import type { MatSolution } from '../adjust/mat_summary.ts';
import {
  type PrintedField,
  printedLengths,
  spanLength,
  spanReadingUncertainty,
  spanUncertainty,
} from '../mat/readings.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { MeasuredScale } from '../verdict/measured_shoot.ts';

/** Whitened residual beyond which two readings contradict each other. */
const contradiction = 3.5;

const said: Readonly<Record<PrintedField, string>> = {
  rowAlong: 'row of squares',
  rowAcross: 'distance across both rows',
  barAlong: 'bar along',
  barAcross: 'bar across',
};

/**
 * The print scale with its doubt. Where a printed length and the span contradict each other, what they disagree by
 * becomes the doubt and nothing is passed on it.
 */
export function scaleAsFound(
  mat: MatSolution,
  relative: number,
  readings: MatReadings,
): MeasuredScale & { notes: string[] } {
  const notes: string[] = [];
  const found = { along: mat.printScale.along, across: mat.printScale.across };
  if (readings.span && mat.readings.span === undefined)
    notes.push('The span was not used: its two tags are not both on pages that the photos show.');
  const printed = (['rowAlong', 'barAlong'] as const).find((field) => readings[field] !== undefined);
  const own = (printed && mat.readings[printed]) ?? 0;
  const span = mat.readings.span ?? 0;
  if (Math.abs(own) > contradiction || Math.abs(span) > contradiction) {
    const byPrint = printed ? (Math.abs(own) * printedLengths[printed].sigma) / printedLengths[printed].nominal : 0;
    const bySpan = readings.span ? (Math.abs(span) * spanUncertainty(readings.span)) / spanLength(readings.span) : 0;
    const gap = byPrint + bySpan;
    const first = printed ? `The ${said[printed]} (${readings[printed]} mm)` : 'The print';
    const again = printed ? `the ${said[printed]} with a rule and ` : '';
    notes.push(
      `${first} and the span (${readings.span ? spanLength(readings.span).toFixed(1) : '-'} mm) contradict each other by ${(100 * gap).toFixed(1)} %: measure again, ${again}the span with the tape that laid off the marks.`,
    );
    return { ...found, u: Math.max(relative, gap), measured: false, notes };
  }
  const tape =
    readings.span && mat.readings.span !== undefined
      ? { tape: spanReadingUncertainty(readings.span) / spanLength(readings.span) }
      : {};
  return { ...found, u: relative, measured: printed !== undefined || mat.readings.span !== undefined, ...tape, notes };
}
