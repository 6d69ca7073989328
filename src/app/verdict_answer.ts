import { isUnsettled } from '../verdict/rod_verdict.ts';
import type { Report, ReportItem } from '../verdict/report.ts';
import { capitalized, countText } from '../verdict/wording.ts';
import { words } from './words.ts';

/** The first answer: is it ready, in a sentence, with what else is wrong in further ones. */
export function answerSentences(report: Report): string[] {
  const one = report.stage === 'marks' ? words.answers.mark : words.answers.guide;
  const { items } = report;
  const some = (wanted: (item: ReportItem) => boolean) => items.filter(wanted).length;
  if (report.verdict === 'ready') return [report.stage === 'marks' ? words.answers.marksReady : words.answers.ready];
  const moved = some((item) => item.alongVerdict === 'off' && item.guideVerdict !== 'different');
  const turned = some((item) => item.rollVerdict === 'off' && item.alongVerdict !== 'off');
  const different = some((item) => item.guideVerdict === 'different');
  const missing = some((item) => item.alongVerdict === 'missing');
  const unsettled = some(isUnsettled);
  const count = (number: number) => countText(number, one);
  const sentences = [
    ...(moved > 0 ? [words.answers.move(count(moved))] : []),
    ...(turned > 0 ? [words.answers.turn(count(turned))] : []),
    ...(different > 0 ? [words.answers.different(count(different), different)] : []),
    ...(missing > 0 ? [words.answers.missing(capitalized(count(missing)), missing)] : []),
    ...(report.extras.length > 0
      ? [words.answers.extra(capitalized(count(report.extras.length)), report.extras.length)]
      : []),
  ];
  if (sentences.length === 0)
    return [
      words.answers.reshoot,
      ...(unsettled > 0 ? [words.answers.unsettled(capitalized(count(unsettled)), unsettled)] : []),
    ];
  return unsettled > 0 ? [...sentences, words.answers.unsettled(capitalized(count(unsettled)), unsettled)] : sentences;
}
