import { longestRod } from '../../plan/files/longest_rod.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { mostPieces } from '../../plan/pieces/joint.ts';
import { jointLimits } from '../../plan/pieces/joint_limits.ts';
import { piecesOf, planOfPiece } from '../../plan/pieces/pieces.ts';
import type { Joint } from '../../plan/plan.ts';
import { pieceCount } from '../../store/plan_in_hand.ts';
import { addJoint, changeJoint, removeJoint } from '../edits/piece_edits.ts';
import { ChoiceField, LengthField, useKeptChoice, useKeptValues } from '../fields/plan_fields.tsx';
import { useApp, useBuild } from '../session/app_context.tsx';
import { changeWords } from '../words/changes_words.ts';
import { pieceWords } from '../words/piece_words.ts';

const kinds = ['spigot', 'sleeve'] as const;
const inners = ['butt', 'tip'] as const;

/** Where the rod comes apart, how each joint is made, and what pieces that gives. */
export function PlanPieces() {
  const { plan } = useBuild().history.present;
  const joints = plan.joints ?? [];
  return (
    <>
      <p className="hint">{pieceWords.help}</p>
      {joints.map((joint, index) => (
        <JointFields key={`${index} of ${joints.length}`} joint={joint} index={index} />
      ))}
      {joints.length < mostPieces - 1 && <NextJoint />}
      {pieceCount(plan) > 1 && <PieceList />}
    </>
  );
}

function JointFields({ joint, index }: { joint: Joint; index: number }) {
  const { actions } = useApp();
  const { kind, gap, play, inner } = joint;
  const change = (label: string, next: (before: Joint) => Joint) =>
    actions.edit(changeWords.field(label), changeJoint(index, next));
  const field = (key: 'at' | 'length', label: string, least: number, most: number) => (
    <LengthField
      name={`plan.joint.${index}.${key}`}
      label={label}
      value={joint[key]}
      least={least}
      most={most}
      set={(document, mm) => changeJoint(index, (before) => ({ ...before, [key]: mm! }))(document)}
    />
  );
  return (
    <fieldset className="fields">
      <legend>{pieceWords.joint(index + 1)}</legend>
      <JointKind
        kind={kind}
        inner={inner ?? 'butt'}
        onKind={(chosen) =>
          change(pieceWords.kind, ({ gap: gapBefore, play: playBefore, ...rest }) => ({
            ...rest,
            kind: chosen,
            ...(chosen === 'spigot' && gapBefore !== undefined && { gap: gapBefore }),
            ...(chosen === 'sleeve' && playBefore !== undefined && { play: playBefore }),
          }))
        }
        onInner={(chosen) => change(pieceWords.inner[kind], (before) => ({ ...before, inner: chosen }))}
      />
      {field('at', pieceWords.at, 0, longestRod)}
      <div className="field-pair">
        {field('length', pieceWords.length[kind], jointLimits.length.least, jointLimits.length.most)}
        {kind === 'spigot' ? (
          <WearField name="gap" value={gap} index={index} />
        ) : (
          <WearField name="play" value={play} index={index} />
        )}
      </div>
      <p className="hint">{kind === 'spigot' ? pieceWords.gapHelp : pieceWords.playHelp}</p>
      {(gap ?? 0) >= joint.length && <p className="field-why">{pieceWords.gapTooLong}</p>}
      <button
        type="button"
        className="quiet"
        onClick={() => actions.edit(pieceWords.remove(index + 1), removeJoint(index))}
      >
        {pieceWords.remove(index + 1)}
      </button>
    </fieldset>
  );
}

/** How far a joint may still close: the gap of a spigot, the play of a sleeve. */
function WearField({ name, value, index }: { name: 'gap' | 'play'; value: number | undefined; index: number }) {
  return (
    <LengthField
      name={`plan.joint.${index}.${name}`}
      label={pieceWords[name]}
      value={value}
      {...jointLimits[name]}
      optional
      set={(document, mm) =>
        changeJoint(index, (before) => {
          const { [name]: _, ...rest } = before;
          return mm === undefined ? rest : { ...rest, [name]: mm };
        })(document)
      }
    />
  );
}

function JointKind({
  kind,
  inner,
  onKind,
  onInner,
}: {
  kind: Joint['kind'];
  inner: 'tip' | 'butt';
  onKind: (kind: Joint['kind']) => void;
  onInner: (inner: 'tip' | 'butt') => void;
}) {
  return (
    <div className="field-pair">
      <ChoiceField label={pieceWords.kind} value={kind} names={pieceWords.kinds} onChange={onKind} />
      <ChoiceField label={pieceWords.inner[kind]} value={inner} names={pieceWords.pieces} onChange={onInner} />
    </div>
  );
}

/** A joint counts once its place and its length are there. */
function NextJoint() {
  const { actions } = useApp();
  const { plan } = useBuild().history.present;
  const [kind, setKind] = useKeptChoice('joint.kind', kinds);
  const [inner, setInner] = useKeptChoice('joint.inner', inners);
  const value = useKeptValues();
  const [at, length] = [value('joint.at'), value('joint.length')];
  const [gap, play] = [value('joint.gap'), value('joint.play')];
  const number = (plan.joints?.length ?? 0) + 1;
  const add = () => {
    if (at === undefined || length === undefined) return;
    const joint: Joint = {
      kind,
      at,
      length,
      ...(kind === 'spigot' && gap !== undefined && { gap }),
      ...(kind === 'sleeve' && play !== undefined && { play }),
      ...(inner === 'tip' && { inner }),
    };
    actions.edit(pieceWords.added(number), (document) => {
      const {
        'joint.at': _,
        'joint.length': __,
        'joint.gap': ___,
        'joint.play': ____,
        ...written
      } = document.written ?? {};
      return addJoint(joint)({ ...document, written });
    });
  };
  return (
    <fieldset className="fields">
      <legend>{pieceWords.next}</legend>
      <JointKind kind={kind} inner={inner} onKind={setKind} onInner={setInner} />
      <LengthField name="joint.at" label={pieceWords.at} least={0} most={longestRod} optional />
      <div className="field-pair">
        <LengthField name="joint.length" label={pieceWords.length[kind]} {...jointLimits.length} optional />
        {kind === 'spigot' ? (
          <LengthField name="joint.gap" label={pieceWords.gap} {...jointLimits.gap} optional />
        ) : (
          <LengthField name="joint.play" label={pieceWords.play} {...jointLimits.play} optional />
        )}
      </div>
      <p className="hint">{kind === 'spigot' ? pieceWords.gapHelp : pieceWords.playHelp}</p>
      <button type="button" disabled={at === undefined || length === undefined} onClick={add}>
        {pieceWords.add}
      </button>
    </fieldset>
  );
}

/** What each piece must measure, so that a slip in a joint shows at the tape. */
function PieceList() {
  const { plan, lengths } = useBuild().history.present;
  const said = (mm: number) => formatLength(mm, lengths, { mmDecimals: 1, inchDecimals: 2, denominator: 32 });
  return (
    <section aria-label={pieceWords.list}>
      <ol className="pieces">
        {piecesOf(plan).map(({ number, of, from, to, tipSide, buttSide }) => (
          <li key={number}>
            <strong>{pieceWords.piece(number, of)}</strong>{' '}
            {pieceWords.pieceFacts(said(to - from), tipSide, buttSide, planOfPiece(plan, number).positions.length)}
          </li>
        ))}
      </ol>
      <p className="hint">{pieceWords.measureThem}</p>
    </section>
  );
}
