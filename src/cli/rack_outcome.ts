import { csvText } from '../store/csv.ts';
import { answerOf } from '../verdict/answer.ts';
import type { Report } from '../verdict/report.ts';
import { isUnsettled, isWrong } from '../verdict/rod_verdict.ts';

/** What came of one build of a rack. */
export type Outcome = { name: string } & (
  | {
      kind: 'checked';
      title: string;
      report: Report /** from an earlier run, nothing having changed */;
      again: boolean;
    }
  /** one sentence: what is wrong, where, what to do */
  | { kind: 'unusable'; problem: string }
);

/** 3 where a build could not be checked; else 1 where something is to fix, 2 where photos are missing, 0 all ready. */
export function exitCodeOf(outcomes: readonly Outcome[]): number {
  if (outcomes.some(({ kind }) => kind === 'unusable')) return 3;
  const verdicts = outcomes.flatMap((outcome) => (outcome.kind === 'checked' ? [outcome.report.verdict] : []));
  return verdicts.includes('fix') ? 1 : verdicts.includes('reshoot') ? 2 : 0;
}

const counts = (report: Report) => ({
  places: report.items.length,
  wrong: report.items.filter(isWrong).length,
  unsettled: report.items.filter(isUnsettled).length,
});

/** The rack in one table for a terminal: a row a build, the answer in words, then how many of each. */
export function rackTable(outcomes: readonly Outcome[]): string {
  const rows = outcomes.map((outcome) => {
    if (outcome.kind === 'unusable') return [outcome.name, '-', '-', '-', '-', outcome.problem];
    const { places, wrong, unsettled } = counts(outcome.report);
    return [
      outcome.name,
      outcome.report.stage,
      `${places}`,
      `${wrong}`,
      `${unsettled}`,
      `${answerOf(outcome.report)}${outcome.again ? ' (as before)' : ''}`,
    ];
  });
  const all = [['build', 'stage', 'places', 'wrong', 'unsettled', ''], ...rows];
  const widths = all[0]!.map((_, i) => Math.max(...all.map((row) => row[i]!.length)));
  return `${all
    .map((row) =>
      row
        .map((cell, i) => (i === row.length - 1 ? cell : cell.padEnd(widths[i]!)))
        .join('  ')
        .trimEnd(),
    )
    .join('\n')}\n\n${summary(outcomes)}\n`;
}

function summary(outcomes: readonly Outcome[]): string {
  const of = (verdict: Report['verdict']) =>
    outcomes.filter((outcome) => outcome.kind === 'checked' && outcome.report.verdict === verdict).length;
  const lost = outcomes.filter(({ kind }) => kind === 'unusable').length;
  return [
    `${outcomes.length} builds: ${of('ready')} ready, ${of('fix')} to fix, ${of('reshoot')} to shoot again`,
    ...(lost > 0 ? [`${lost} that could not be checked`] : []),
  ].join(', ');
}

const largest = (values: readonly (number | undefined)[], decimals: number): string => {
  const known = values.filter((value) => value !== undefined);
  return known.length > 0 ? Math.max(...known).toFixed(decimals) : '';
};

/** The rack as comma-separated values: a row a build, lengths in millimetres. */
export function rackCsv(outcomes: readonly Outcome[]): string {
  const heading = [
    'build',
    'title',
    'stage',
    'verdict',
    'answer',
    'places',
    'wrong',
    'unsettled',
    'not in the plan',
    'largest doubt along (mm)',
    'largest doubt in roll (degrees)',
    'photos',
    'problem',
  ];
  const rows = outcomes.map((outcome) => {
    if (outcome.kind === 'unusable') return [outcome.name, ...Array.from({ length: 11 }, () => ''), outcome.problem];
    const { title, report } = outcome;
    const { places, wrong, unsettled } = counts(report);
    return [
      outcome.name,
      title,
      report.stage,
      report.verdict,
      answerOf(report),
      `${places}`,
      `${wrong}`,
      `${unsettled}`,
      `${report.extras.length}`,
      largest(
        report.items.map(({ along }) => along?.expanded),
        2,
      ),
      largest(
        report.items.map(({ roll }) => roll?.expanded),
        2,
      ),
      `${report.photos.length}`,
      '',
    ];
  });
  return csvText([heading, ...rows]);
}
