import type { KeptCheck } from '../../store/build.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { measuredText, plannedText, rollText, turnedText } from '../../verdict/wording.ts';
import { useBuild } from '../session/app_context.tsx';
import { itemWords } from '../words/items_words.ts';

/** An item's figures, each with its doubt. */
export function ItemFacts({ item, check }: { item: ReportItem; check: KeptCheck }) {
  const { lengths } = useBuild().history.present;
  const planned = check.plan.positions.find((position) => position.id === item.id);
  const facts: [string, string | undefined][] = [
    [itemWords.planned, plannedText(item.planned, lengths)],
    [itemWords.found, item.along && measuredText(item.along, lengths)],
    [itemWords.roll, item.roll && rollText(item.roll)],
    [itemWords.plannedRoll, item.plannedRoll === undefined ? undefined : turnedText(item.plannedRoll)],
    [itemWords.height, item.height && measuredText(item.height, lengths)],
    [itemWords.plannedHeight, planned?.guide && item.height && plannedText(planned.guide.height, lengths)],
    [itemWords.ring, item.ringOuter && measuredText(item.ringOuter, lengths)],
    [itemWords.width, item.width && measuredText(item.width, lengths)],
    [itemWords.colour, item.colour],
    [itemWords.mark, item.mark && measuredText(item.mark.along, lengths)],
    [itemWords.byHand, item.byHand ? itemWords.byHandYes : undefined],
  ];
  return (
    <dl className="facts">
      {facts.map(
        ([name, value]) =>
          value && (
            <div key={name}>
              <dt>{name}</dt>
              <dd>{value}</dd>
            </div>
          ),
      )}
    </dl>
  );
}
