import type { KeptCheck } from '../../store/build.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { measuredText, plannedText, rollText } from '../../verdict/wording.ts';
import { useBuild } from '../session/app_context.tsx';
import { words } from '../words/words.ts';

/** An item's figures, each with its doubt. */
export function ItemFacts({ item, check }: { item: ReportItem; check: KeptCheck }) {
  const { lengths } = useBuild().history.present;
  const planned = check.plan.positions.find((position) => position.id === item.id);
  const facts: [string, string | undefined][] = [
    [words.items.planned, plannedText(item.planned, lengths)],
    [words.items.found, item.along && measuredText(item.along, lengths)],
    [words.items.roll, item.roll && rollText(item.roll)],
    [words.items.height, item.height && measuredText(item.height, lengths)],
    [words.items.plannedHeight, planned?.guide && item.height && plannedText(planned.guide.height, lengths)],
    [words.items.ring, item.ringOuter && measuredText(item.ringOuter, lengths)],
    [words.items.width, item.width && measuredText(item.width, lengths)],
    [words.items.colour, item.colour],
    [words.items.mark, item.mark && measuredText(item.mark.along, lengths)],
    [words.items.byHand, item.byHand ? words.items.byHandYes : undefined],
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
