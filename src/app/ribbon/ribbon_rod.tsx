import { type Plan, type Position, type TipTop, usualHome } from '../../plan/plan.ts';

/** px across the rod for a millimetre: the drawing is far thicker than it is long, so that it can be read. */
const across = 1.15;
const ringAcross = 0.95;

/** The rod as the plan has it: the taper, and each fitting in its place with thread where it will be wrapped. */
export function RibbonRod({
  plan,
  start,
  x,
  middle,
}: {
  plan: Plan;
  start: number;
  /** mm from the tip to px */
  x: (mm: number) => number;
  /** the axis's height, px */
  middle: number;
}) {
  const { length, tipDiameter, buttDiameter } = plan.blank;
  const [left, right] = [x(start), x(start + length)];
  const [thin, thick] = [Math.max(tipDiameter * across, 2) / 2, Math.max(buttDiameter * across, 3) / 2];
  const radius = (at: number) => thin + ((thick - thin) * (at - start)) / Math.max(length, 1);
  return (
    <g>
      <path
        className={`rod rod-${plan.blank.finish}`}
        d={`M${left} ${middle - thin}L${right} ${middle - thick}V${middle + thick}L${left} ${middle + thin}Z`}
      />
      {plan.tipTop && (
        <TipTopOn
          tipTop={plan.tipTop}
          closedEnd={x(start - (plan.tipTop.home ?? usualHome.mm))}
          radius={thin}
          middle={middle}
        />
      )}
      {plan.positions.map((position) => (
        <Fitting
          key={position.id}
          position={position}
          x={x(position.at)}
          radius={radius(position.at)}
          middle={middle}
        />
      ))}
    </g>
  );
}

/** The tip-top over the blank's end: its tube, and its ring ahead of it. */
function TipTopOn({
  tipTop,
  closedEnd,
  radius,
  middle,
}: {
  tipTop: TipTop;
  closedEnd: number;
  radius: number;
  middle: number;
}) {
  const ry = Math.max((tipTop.ringOuter / 2) * ringAcross, 3);
  const centre = middle - radius - ry;
  return (
    <g>
      <rect className="guide-tube" x={closedEnd} y={middle - radius - 1} width={7} height={2 * radius + 2} />
      <path className="guide-frame" d={`M${closedEnd + 6} ${middle - radius - 1}L${closedEnd - 1} ${centre + ry}`} />
      <ellipse className="guide-ring" cx={closedEnd - 1} cy={centre} rx={Math.max(ry * 0.4, 1.6)} ry={ry} />
    </g>
  );
}

function Fitting({ position, x, radius, middle }: { position: Position; x: number; radius: number; middle: number }) {
  const wrap = (from: number, width: number) => (
    <rect className="wrap" x={from} y={middle - radius - 1} width={width} height={2 * radius + 2} />
  );
  const { guide } = position;
  if (!guide) return wrap(x - 3, 6);
  if (guide.type === 'snake') {
    const crest = middle - radius - Math.max(guide.height * ringAcross, 4);
    const ground = middle - radius - 1;
    return (
      <g>
        {wrap(x - 13, 7)}
        {wrap(x + 6, 7)}
        <path
          className="guide-frame"
          d={`M${x - 7} ${ground}C${x - 3} ${ground} ${x - 4} ${crest} ${x} ${crest}S${x + 3} ${ground} ${x + 7} ${ground}`}
        />
      </g>
    );
  }
  const ry = Math.max((guide.ringOuter / 2) * ringAcross, 3);
  const rx = Math.max(ry * 0.4, 1.6);
  const centre = middle - radius - Math.max(guide.height * ringAcross, ry + 1);
  const foot = Math.max(rx, 2);
  return (
    <g>
      {wrap(x - foot - 8, 7)}
      {guide.foot === 'double' && wrap(x + foot + 1, 7)}
      <path
        className="guide-frame"
        d={
          guide.foot === 'double'
            ? `M${x - foot - 5} ${middle - radius - 1}L${x} ${centre + ry}L${x + foot + 5} ${middle - radius - 1}`
            : `M${x - foot - 5} ${middle - radius - 1}L${x} ${centre + ry}`
        }
      />
      <ellipse className="guide-ring" cx={x} cy={centre} rx={rx} ry={ry} />
    </g>
  );
}
