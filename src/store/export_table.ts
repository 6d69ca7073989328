import { csvText } from './csv.ts';
import { type LengthDisplay, lengthDigits } from '../plan/lengths/length_text.ts';
import type { Measured, Report, ReportBlank } from '../verdict/report.ts';

const heading = (unit: string) => [
  'place',
  'kind',
  `planned (${unit})`,
  `found (${unit})`,
  `doubt (${unit})`,
  `off, + toward the butt (${unit})`,
  'along',
  'roll, + clockwise from the butt (degrees)',
  'doubt (degrees)',
  'roll verdict',
  `ring (${unit})`,
  `doubt (${unit})`,
  'guide',
  'cause',
  'advice',
];

/** A measured blank, a row a place: diameter and bow with their doubt. */
function blankCsv({ diameters, bow, bowExpanded }: ReportBlank, unit: 'mm' | 'in'): string {
  const digits = (mm: number | undefined) =>
    mm === undefined ? '' : lengthDigits(mm, unit, { mmDecimals: 3, inchDecimals: 5 });
  return csvText([
    [
      `from the tip (${unit})`,
      `diameter (${unit})`,
      `doubt (${unit})`,
      `bow, + to the right as seen from the butt (${unit})`,
      `doubt (${unit})`,
      `bow, + up as it lies (${unit})`,
      `doubt (${unit})`,
    ],
    ...diameters.map(([along, diameter, expanded], i) => [
      digits(along),
      digits(diameter),
      digits(expanded),
      digits(bow[i]?.[1]),
      digits(bowExpanded?.[i]?.[0]),
      digits(bow[i]?.[2]),
      digits(bowExpanded?.[i]?.[1]),
    ]),
  ]);
}

/** A report's places as comma-separated values (RFC 4180), lengths in millimetres or decimal inches. */
export function reportCsv(report: Report, display: LengthDisplay): string {
  const unit = display === 'mm' ? 'mm' : 'in';
  if (report.blank) return blankCsv(report.blank, unit);
  const digits = (mm: number) => lengthDigits(mm, unit, { mmDecimals: 2, inchDecimals: 4 });
  const length = (measured: Measured | undefined) =>
    measured ? [digits(measured.value), digits(measured.expanded)] : ['', ''];
  const degrees = (measured: Measured | undefined) =>
    measured ? [measured.value.toFixed(2), measured.expanded.toFixed(2)] : ['', ''];
  const rows = report.items.map((item) => [
    item.id,
    item.kind,
    digits(item.planned),
    ...length(item.along),
    item.along ? digits(item.along.value - item.planned) : '',
    item.alongVerdict,
    ...degrees(item.roll),
    item.rollVerdict ?? '',
    ...length(item.ringOuter),
    item.guideVerdict ?? '',
    item.cause ?? '',
    item.advice ?? '',
  ]);
  const extras = report.extras.map((extra) => [
    '',
    `extra ${extra.kind}`,
    '',
    ...length(extra.along),
    '',
    'extra',
    '',
    '',
    '',
    '',
    '',
    '',
    '',
    extra.advice ?? '',
  ]);
  return csvText([heading(unit), ...rows, ...extras]);
}
