import type { Stretch } from '../../plan/stretch.ts';
import { feetOf, wrapsOf, type WrapPractice } from '../../plan/foot.ts';
import { jointStretch } from '../../plan/pieces/joint.ts';
import { type Fitting, type Plan, type Position, planStart, usualHome } from '../../plan/plan.ts';
import { blankDiameter } from '../../plan/taper.ts';

/** mm: along as the plan counts, and up from the axis, the rod seen from its side with the tip at the left. */
export type SidePoint = readonly [along: number, up: number];

/** A stretch with what it reaches below and above the axis, mm. */
export interface Block extends Stretch {
  down: number;
  up: number;
}

/** What stands at one place, from the side. */
export interface PlaceShape {
  id: string;
  wraps: Block[];
  feet: Block[];
  /** legs and bent wires */
  wires: SidePoint[][];
  /** the plan does not say where its feet are: its leg is only meant */
  meant?: true;
  /** the ring seen on edge: its lowest and highest point, and how thick it is */
  ring?: { ends: readonly [SidePoint, SidePoint]; thickness: number };
}

/** A rod drawn true to scale from its side; all mm. */
export interface RodShapes {
  from: number;
  to: number;
  up: number;
  down: number;
  blank: SidePoint[];
  fittings: (Block & { kind: Fitting['kind'] | 'joint' })[];
  tipTop?: PlaceShape;
  places: PlaceShape[];
}

/** What no plan says; common practice, no source. */
const footThickness = 0.8;
const gripRadius = 12.5;
const seatRadius = 11;
const sleeve = 1;

/** How far things reach across for a fitting at a blank this thick, mm. */
function radiusOf(kind: Fitting['kind'], blank: number): number {
  if (kind === 'grip') return Math.max(gripRadius, blank + sleeve);
  if (kind === 'reel-seat') return Math.max(seatRadius, blank + sleeve);
  return blank + (kind === 'winding-check' ? 3 : sleeve);
}

/**
 * The planned rod as it looks from its side: taper, fittings, feet, thread and rings, each as large as the plan says.
 */
export function rodShapes(plan: Plan, practice: WrapPractice): RodShapes {
  const from = planStart(plan);
  const to = from + plan.blank.length;
  const radius = (at: number) => blankDiameter(plan.blank, at, from) / 2;
  const block = (stretch: Stretch, reach: number): Block => ({ ...stretch, down: reach, up: reach });
  const middle = ({ from: a, to: b }: Stretch) => radius((a + b) / 2);
  const fittings = [
    ...(plan.fittings ?? []).map((fitting) => ({
      kind: fitting.kind,
      ...block({ from: fitting.from, to: fitting.to }, radiusOf(fitting.kind, middle(fitting))),
    })),
    ...(plan.joints ?? []).map((joint) => {
      const stretch = jointStretch(joint);
      return { kind: 'joint' as const, ...block(stretch, middle(stretch) + sleeve / 2) };
    }),
  ];
  const places = plan.positions.map((position) => placeShape(position, plan, practice, radius));
  const tipTop = plan.tipTop && tipTopShape(plan, plan.tipTop, from);
  const highest = [...places, ...(tipTop ? [tipTop] : [])].flatMap(({ ring, wires, feet, wraps }) => [
    ...(ring?.ends ?? []).map(([, up]) => up),
    ...wires.flat().map(([, up]) => up),
    ...[...feet, ...wraps].map(({ up }) => up),
  ]);
  const across = [radius(from), radius(to), ...fittings.map(({ up }) => up)];
  return {
    from,
    to,
    up: Math.max(1, ...across, ...highest),
    down: Math.max(1, ...across, ...places.flatMap(lowest)),
    blank: [
      [from, radius(from)],
      [to, radius(to)],
      [to, -radius(to)],
      [from, -radius(from)],
    ],
    fittings,
    ...(tipTop && { tipTop }),
    places,
  };
}

/** How far a place reaches below the axis: a guide that is turned round stands there. */
const lowest = ({ ring, wires }: PlaceShape): number[] => [...(ring?.ends ?? []), ...wires.flat()].map(([, up]) => -up);

function placeShape(
  position: Position,
  plan: Plan,
  practice: WrapPractice,
  radius: (at: number) => number,
): PlaceShape {
  const { id, at, guide } = position;
  const turned = Math.cos(((guide?.roll ?? 0) * Math.PI) / 180);
  const r = radius(at);
  /** a height over the blank, as it shows from the side */
  const over = (height: number) => (r + height) * turned;
  const feet = feetOf(position);
  const cover = (stretch: Stretch, thick: number): Block => {
    const bare = radius((stretch.from + stretch.to) / 2) + practice.threadDiameter;
    return { ...stretch, down: bare + thick * Math.max(-turned, 0), up: bare + thick * Math.max(turned, 0) };
  };
  const shape: PlaceShape = {
    id,
    wraps: wrapsOf(position, plan, practice).map((wrap) => cover(wrap, guide ? footThickness : 0)),
    feet: feet.map((foot) => ({ ...foot, down: -over(0), up: over(footThickness) })),
    wires: [],
  };
  if (!guide) return shape;
  if (guide.type === 'snake') {
    const [first, last] = [feet[0]!.to, feet.at(-1)!.from];
    const crest = guide.height - guide.wire / 2;
    shape.wires.push(arch(first, last).map(([along, share]) => [along, over(share * crest)]));
    return shape;
  }
  const half = guide.ringOuter / 2;
  const lean = (guide.lean * Math.PI) / 180;
  const end = (side: 1 | -1): SidePoint => [
    at - side * half * Math.sin(lean),
    over(guide.height + side * half * Math.cos(lean)),
  ];
  const bottom = end(-1);
  shape.ring = { ends: [bottom, end(1)], thickness: (guide.ringOuter - guide.ringInner) / 2 };
  for (const foot of feet)
    shape.wires.push([[foot.from + foot.to < 2 * at ? foot.to : foot.from, over(footThickness / 2)], bottom]);
  if (feet.length > 0) return shape;
  shape.wires.push([[at, over(0)], bottom]);
  return { ...shape, meant: true };
}

/** A bent wire between two places: along, and its height as a share of the crest. */
const arch = (from: number, to: number): SidePoint[] =>
  Array.from({ length: 13 }, (_, i) => [from + ((to - from) * i) / 12, Math.sin((Math.PI * i) / 12)]);

function tipTopShape(plan: Plan, tipTop: NonNullable<Plan['tipTop']>, from: number): PlaceShape {
  const closed = from - (tipTop.home ?? usualHome.mm);
  const tube = tipTop.tubeInner / 2 + 0.3;
  const turned = Math.cos(((tipTop.roll ?? 0) * Math.PI) / 180);
  const bottom = plan.blank.tipDiameter / 2;
  return {
    id: 'tip-top',
    wraps: [],
    feet: [{ from: closed, to: closed + tipTop.tubeLength, down: tube, up: tube }],
    wires: [],
    ring: {
      ends: [
        [closed, bottom * turned],
        [closed, (bottom + tipTop.ringOuter) * turned],
      ],
      thickness: (tipTop.ringOuter - tipTop.ringInner) / 2,
    },
  };
}
