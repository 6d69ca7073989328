import { formatLength } from '../../plan/lengths/length_text.ts';
import { axisMeetsBlank, coneAt, type ConeRing, placeOnCone, type SpoolCase } from '../../plan/layouts/line_cone.ts';
import { longestRod } from '../../plan/files/longest_rod.ts';
import { useBuild } from '../session/app_context.tsx';
import { ChoiceField, LengthField, NumberField } from '../fields/plan_fields.tsx';
import { type GuideOpening, useChoke, useSpool } from './plan_spool.ts';
import { useWidth } from '../kit/use_width.ts';
import { orWhy } from './or_why.ts';
import { planWords } from '../words/plan_words.ts';

/** The cone of line between a spool and the first small guide, and where each larger ring just takes it. */
export function PlanCone() {
  const { ids, choke, choose } = useChoke();
  return (
    <>
      <p className="hint">{planWords.coneHelp}</p>
      <div className="field-pair">
        <LengthField name="cone.seatAt" label={planWords.seatAt} least={0} most={longestRod} optional />
        <LengthField name="cone.lipForward" label={planWords.lipForward} least={-300} most={300} optional />
      </div>
      <div className="field-pair">
        <LengthField name="cone.spoolDiameter" label={planWords.spool} least={10} most={200} optional />
        <LengthField name="cone.lipToBlank" label={planWords.lipToBlank} least={0} most={200} optional />
      </div>
      <NumberField
        name="cone.axisTilt"
        label={planWords.axisTilt}
        hint={planWords.axisTiltHelp}
        least={0}
        most={20}
        optional
      />
      {ids.length > 0 && (
        <ChoiceField
          label={planWords.choke}
          value={choke?.id ?? ids[0]!}
          names={Object.fromEntries(ids.map((id) => [id, id]))}
          onChange={choose}
        />
      )}
      <ConeFound choke={choke} />
    </>
  );
}

/** Where the larger rings just take the cone, drawn and in words; or why that can't be told. */
function ConeFound({ choke }: { choke: GuideOpening | undefined }) {
  const { lengths } = useBuild().history.present;
  const { spool, larger = [] } = useSpool() ?? {};
  if (!spool) return null;
  const solved = orWhy(() => ({ rings: placeOnCone(spool, larger) }));
  const axisMeets = axisMeetsBlank(spool);
  const length = (mm: number) => formatLength(mm, lengths, { mmDecimals: 0, denominator: 16 });
  const sentence = (id: string, { bySize, byHeight }: ConeRing): string => {
    if (!bySize) return planWords.coneSmall(id);
    const own = byHeight ? planWords.coneHeight(length(byHeight.at)) : planWords.coneNever;
    return `${planWords.coneSize(id, length(bySize.at), length(bySize.height))} ${own}`;
  };
  return (
    <>
      {'why' in solved && (
        <p className="field-why" role="status">
          {solved.why}
        </p>
      )}
      {axisMeets !== undefined && <p>{planWords.axisMeets(length(axisMeets))}</p>}
      {'rings' in solved && larger.length === 0 && <p>{planWords.coneNone}</p>}
      {'rings' in solved && larger.length > 0 && (
        <>
          <ConeDrawing spool={spool} guides={[choke!, ...larger]} />
          <ul className="notes">
            {larger.map(({ id }, k) => (
              <li key={id}>{sentence(id, solved.rings[k]!)}</li>
            ))}
          </ul>
        </>
      )}
    </>
  );
}

const room = 28;

/** Heights are drawn to their own scale: true to shape the cone would be a thread. */
function ConeDrawing({ spool, guides }: { spool: SpoolCase; guides: readonly GuideOpening[] }) {
  const [width, followWidth] = useWidth<HTMLDivElement>(360);
  const lip = spool.seatAt - spool.lipForward;
  const from = spool.choke.at;
  const x = (at: number) => room + ((at - from) / (lip - from)) * (width - 2 * room);
  const tallest = Math.max(
    spool.lipToBlank + spool.spoolDiameter,
    ...guides.map((guide) => guide.height + guide.ringInner / 2),
  );
  const height = 170;
  const ground = height - 34;
  const y = (up: number) => ground - (up / tallest) * (ground - 14);
  const edges = [coneAt(spool, from), coneAt(spool, lip)].map((at) => ({
    x: x(at.at),
    top: y(at.height + at.diameter / 2),
    bottom: y(at.height - at.diameter / 2),
  }));
  const [near, far] = edges as [(typeof edges)[0], (typeof edges)[0]];
  return (
    <div ref={followWidth} className="view">
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={planWords.coneDrawing}>
        <path className="view-line" d={`M0 ${ground}H${width}`} />
        <path
          className="cone"
          d={`M${near.x} ${near.top}L${far.x} ${far.top}V${far.bottom}L${near.x} ${near.bottom}Z`}
        />
        {guides.map(({ id, at, height: up, ringInner }) => (
          <g key={id}>
            <path className="cone-ring" d={`M${x(at)} ${y(up - ringInner / 2)}V${y(up + ringInner / 2)}`} />
            <text x={x(at)} y={height - 12} textAnchor="middle">
              {id}
            </text>
          </g>
        ))}
      </svg>
    </div>
  );
}
