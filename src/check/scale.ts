import type { MatProfile } from '../adjust/mat_profile.ts';
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
  const kept = mat.keptMat && mat.keptMat.pages.length > 0 ? mat.keptMat.profile : undefined;
  if (kept) return keptScale(mat, kept, relative, readings);
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

/** Two readings of one span differ by more than this only where one is wrong or the mat is another, in sigmas. */
const anotherSpan = 4;
/** A span measured again between the same lines differs by its readings and this, mm: paper takes up moisture. */
const daysApart = 0.3;

/**
 * The scale of a kept mat, which rests on what was measured on it then; what the shoot's own readings say against it.
 */
function keptScale(
  mat: MatSolution,
  { name, readings: then }: MatProfile,
  relative: number,
  { span }: MatReadings,
): MeasuredScale & { notes: string[] } {
  const before = then.span;
  const same = span && before && span.fromTag === before.fromTag && span.toTag === before.toTag;
  const apart = same ? spanLength(span) - spanLength(before) : 0;
  const doubt = same ? Math.hypot(spanReadingUncertainty(span), spanReadingUncertainty(before), daysApart) : 1;
  const notes =
    Math.abs(apart) > anotherSpan * doubt
      ? [
          `The span of this shoot (${spanLength(span!).toFixed(1)} mm) and the one the kept mat “${name}” rests on (${spanLength(before!).toFixed(1)} mm) contradict each other: measure it again with the tape that laid off the marks, and keep the mat anew.`,
        ]
      : [];
  return {
    along: mat.printScale.along,
    across: mat.printScale.across,
    u: notes.length > 0 ? Math.max(relative, Math.abs(apart) / spanLength(before!)) : relative,
    measured: notes.length === 0 && (before ?? then.rowAlong ?? then.barAlong) !== undefined,
    ...(before && notes.length === 0 && { tape: spanReadingUncertainty(before) / spanLength(before) }),
    notes,
  };
}
