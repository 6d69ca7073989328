import { csvText } from './csv.ts';
import { type LengthDisplay, lengthDigits } from '../plan/lengths/length_text.ts';
import type { Measured, Report } from '../verdict/report.ts';

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

/** A report's places as comma-separated values (RFC 4180), lengths in millimetres or decimal inches. */
export function reportCsv(report: Report, display: LengthDisplay): string {
  const unit = display === 'mm' ? 'mm' : 'in';
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
