import type { KeptCheck } from '../../store/build.ts';
import {
  isTurnedAllRound,
  quarterTurns,
  straightestOf,
  type TurnedBlank,
  turnedBlanks,
} from '../../store/turned_blanks.ts';
import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { useBuild } from '../session/app_context.tsx';
import { Fold } from '../kit/fold.tsx';
import { blankWords } from '../words/blank_words.ts';
import { BlankTable } from './blank_view.tsx';

/** Once the blank was shot at four turns: how it bows of its own, and where to draw the line. */
export function StraightestView({ check }: { check: KeptCheck }) {
  const { checks, history } = useBuild();
  const turned = turnedBlanks(checks, check.shoot.piece);
  if (turned.length < 2) return null;
  const degrees = ({ turn }: { turn: number }) => `${turn}°`;
  const open = quarterTurns.filter((quarter) => !turned.some(({ turn }) => turn === quarter));
  return (
    <section aria-label={blankWords.axis}>
      <h2>{blankWords.axis}</h2>
      {!isTurnedAllRound(turned) ? (
        <p>
          {blankWords.axisMore(
            turned.map(degrees),
            open.map((turn) => degrees({ turn })),
          )}
        </p>
      ) : (
        <Axis turned={turned} display={history.present.lengths} />
      )}
    </section>
  );
}

function Axis({ turned, display }: { turned: readonly TurnedBlank[]; display: LengthDisplay }) {
  const { sentences, rows } = straightestOf(turned, display);
  return (
    <>
      {sentences.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      {rows.length > 0 && (
        <Fold title={blankWords.axisTable}>
          <BlankTable name={blankWords.axisTable} rows={rows} />
        </Fold>
      )}
      <p className="hint">{blankWords.axisHelp}</p>
    </>
  );
}
