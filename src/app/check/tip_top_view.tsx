import type { KeptCheck } from '../../store/build.ts';
import { tipTopState } from '../../verdict/report_table.ts';
import { capitalized, rollText } from '../../verdict/wording.ts';
import { CloseUpPicture } from '../kit/close_up_picture.tsx';
import { itemWords } from '../words/items_words.ts';

/** The tip-top, where the plan has one: whether it is in line, and the pictures that show it. */
export function TipTopView({ check: { report, evidence } }: { check: KeptCheck }) {
  const { tipTop } = report;
  if (!tipTop) return null;
  const closeUps = evidence.closeUps.filter(({ id }) => id === 'tip-top');
  return (
    <section aria-label={itemWords.tipTop}>
      <h2>{itemWords.tipTop}</h2>
      <p>{capitalized(tipTopState(tipTop))}.</p>
      {tipTop.roll && (
        <dl className="facts">
          <div>
            <dt>{itemWords.roll}</dt>
            <dd>{rollText(tipTop.roll)}</dd>
          </div>
        </dl>
      )}
      <div className="close-ups">
        {closeUps.map((closeUp) => (
          <CloseUpPicture key={closeUp.file} closeUp={closeUp} />
        ))}
      </div>
    </section>
  );
}
