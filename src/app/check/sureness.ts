import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Report, ReportItem } from '../../verdict/report.ts';
import { coverageFactor } from '../../verdict/decision.ts';
import { flatSentence, halvesSentences, profileSentences, sharedTape } from '../../verdict/report_table.ts';
import { doubtDigits } from '../../verdict/wording.ts';
import { sureWords } from '../words/check_words.ts';

const largest = (values: readonly number[]): number | undefined =>
  values.length > 0 ? Math.max(...values) : undefined;
const present = <T>(value: T | undefined): value is T => value !== undefined;

/** The doubt of one kind of reading, as a part of the whole, mm (k = 2): the largest over the items. */
export interface SurenessPart {
  part: keyof NonNullable<ReportItem['uncertainty']>;
  expanded: number;
}

/** Where the doubt along the rod comes from, the largest part first. */
export function surenessParts(report: Report): SurenessPart[] {
  const all = report.items.map((item) => item.uncertainty).filter(present);
  return (['scale', 'geometry', 'reading', 'tip'] as const)
    .map((part) => ({ part, expanded: coverageFactor * (largest(all.map((parts) => parts[part])) ?? 0) }))
    .filter(({ expanded }) => expanded > 0)
    .toSorted((a, b) => b.expanded - a.expanded);
}

/** How sure the check is, in plain words: along the rod, in roll, by how many photos, by which ruler. */
export function surenessSentences(report: Report, plan: Plan, display: LengthDisplay): string[] {
  const along = largest(report.items.map((item) => item.along?.expanded).filter(present));
  const roll = largest(report.items.map((item) => item.roll?.expanded).filter(present));
  const unit = display === 'mm' ? 'mm' : 'in';
  const worst = report.items.find((item) => item.along?.expanded === along);
  const photos = report.photos.filter((photo) => photo.tags > 0);
  const scaleOverRod = report.scale.expanded * plan.blank.length;
  return [
    ...(along === undefined ? [] : [sureWords.along(`${doubtDigits(along, display)} ${unit}`, worst?.id ?? '')]),
    ...(roll === undefined ? [] : [sureWords.roll((Math.ceil(roll * 10) / 10).toFixed(1))]),
    ...(Number.isFinite(scaleOverRod)
      ? [
          sureWords.scale(
            `${doubtDigits(scaleOverRod, display)} ${unit}`,
            formatLength(plan.blank.length, display, { mmDecimals: 0 }),
          ),
        ]
      : [sureWords.noScale]),
    ...(report.scale.shared ? [sharedTape] : []),
    ...(report.flatWithin === undefined ? [] : [flatSentence(report.flatWithin)]),
    ...halvesSentences(report),
    ...profileSentences(report),
    ...(photos.length > 0 ? [sureWords.photos(photos.length)] : []),
    sureWords.meaning,
  ];
}
