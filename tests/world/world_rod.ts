import { add, addScaled, cross, dot, norm, scale, subtract, unit, type Vector3 } from '../../src/geometry/vector.ts';

/** Linear light, red green blue, 0..1. */
export type Light = readonly [number, number, number];

/** A made-up rod on the bench, tip at x = 0, butt toward +x; mm, degrees. */
export interface RodOptions {
  length: number;
  tipRadius: number;
  /** where the taper ends, at `length` */
  buttRadius: number;
  /**
   * the axis: y = side + skew x + bow at the middle; z from the tip's height to the butt's, hanging by `sag` at the
   * middle
   */
  side?: number;
  skew?: number;
  bow?: number;
  tipHeight?: number;
  buttHeight: number;
  sag?: number;
  grip?: { from: number; radius: number };
  /** where one piece slides over the next: from there toward the butt the blank is thinner by so much in radius */
  joint?: { at: number; step: number };
  /** what sits round the blank: from where to where, and how far it stands out all round */
  sleeves?: readonly { from: number; to: number; stands: number }[];
  colour?: Light;
  /** a lamp's mirror image along the blank: strength and sharpness (Phong 1975) */
  gloss?: { strength: number; exponent: number };
  guides?: readonly RodGuide[];
  marks?: readonly { at: number; width: number; light: Light }[];
  /** a line drawn along the blank: arc lengths, degrees round it clockwise from the top, mm wide */
  line?: { from: number; to: number; roll: number; width: number; light: Light };
}

export interface RodGuide {
  /** true arc length of the ring's centre */
  at: number;
  roll: number;
  /** from the blank's surface to the ring's centre */
  height: number;
  /** diameters */
  outer: number;
  inner: number;
  /** along its axis, its edges rounded; a ring of round section when absent */
  thickness?: number;
  lean: number;
  /** where its foot lies; toward the butt, as builders set it, when absent */
  footToward?: 'tip' | 'butt';
}

export interface RodHit {
  point: Vector3;
  normal: Vector3;
  part: 'blank' | 'grip' | 'ring' | 'frame';
  /** where on the blank, mm from the tip */
  s: number;
}

export interface Rod {
  trace(origin: Vector3, direction: Vector3, limit: number): RodHit | undefined;
  light(hit: RodHit, direction: Vector3, lamp: Vector3): Light;
  /** share of the light that reaches a place on the bench */
  shadow(point: Vector3, lamp: Vector3): number;
  surroundings(): { at: Vector3; reach: number }[];
}

/** A wire with round ends; `square` = its length squared. */
interface Wire {
  from: Vector3;
  run: Vector3;
  square: number;
  radius: number;
}

const wireBetween = (from: Vector3, to: Vector3, radius: number): Wire => {
  const run = subtract(to, from);
  return { from, run, square: dot(run, run), radius };
};

interface PlacedGuide {
  centre: Vector3;
  normal: Vector3;
  /** from the ring's axis to its section's middle; half the section's sides, and how far its corners are rounded */
  major: number;
  half: { wall: number; thickness: number; rounding: number };
  /** wires of the frame and the foot */
  wires: Wire[];
  ball: { centre: Vector3; radius: number };
}

const fine = 0.004;

/** Half the sides of a ring's section, and the radius of its corners: a full round where no thickness is given; mm. */
function sectionOf({ outer, inner, thickness }: RodGuide): PlacedGuide['half'] {
  const wall = (outer - inner) / 4;
  if (thickness === undefined) return { wall, thickness: wall, rounding: wall };
  return { wall, thickness: thickness / 2, rounding: Math.min(0.35, 0.8 * wall, 0.4 * thickness) };
}

export function makeRod(options: RodOptions): Rod {
  const { length, tipRadius, buttRadius, grip, joint } = options;
  const { side = 0, skew = 0, bow = 0, tipHeight = tipRadius, buttHeight, sag = 0 } = options;
  const bulge = (x: number) => (4 * x * (length - x)) / length ** 2;
  const axisY = (x: number) => side + skew * x + bow * bulge(x);
  const axisZ = (x: number) => tipHeight + ((buttHeight - tipHeight) * x) / length - sag * bulge(x);
  const tapered = (x: number) => tipRadius + ((buttRadius - tipRadius) * x) / length;
  const sleeveAt = (x: number) => options.sleeves?.find(({ from, to }) => x > from && x < to)?.stands ?? 0;
  const radiusAt = (x: number) =>
    grip && x > grip.from ? grip.radius : tapered(x) + sleeveAt(x) - (joint && x > joint.at ? joint.step : 0);
  // Arc length of every millimetre of x: the axis is nearly straight, so the rest is linear.
  const arcs = new Float64Array(Math.ceil(length) + 2);
  for (let x = 1; x < arcs.length; x++)
    arcs[x] = arcs[x - 1]! + Math.hypot(1, axisY(x) - axisY(x - 1), axisZ(x) - axisZ(x - 1));
  const arcAt = (x: number) => {
    const i = Math.min(Math.max(Math.floor(x), 0), arcs.length - 2);
    return arcs[i]! + (arcs[i + 1]! - arcs[i]!) * (x - i);
  };
  const xAt = (s: number) => {
    let x = s;
    for (let i = 0; i < 6; i++) x += s - arcAt(x);
    return x;
  };
  const place = (x: number): Vector3 => [x, axisY(x), axisZ(x)];
  const alongAt = (x: number) => unit(subtract(place(x + 0.5), place(x - 0.5)));
  const guides = (options.guides ?? []).map((guide): PlacedGuide => {
    const x = xAt(guide.at);
    const along = alongAt(x);
    const up = unit(addScaled([0, 0, 1], along, -along[2]));
    const right = cross(up, along);
    const turn = (guide.roll * Math.PI) / 180;
    const out = addScaled(scale(up, Math.cos(turn)), right, Math.sin(turn));
    const lean = (guide.lean * Math.PI) / 180;
    const centre = addScaled(place(x), out, radiusAt(x) + guide.height);
    const normal = addScaled(scale(along, Math.cos(lean)), out, Math.sin(lean));
    const across = cross(normal, out);
    const side = guide.footToward === 'tip' ? -1 : 1;
    const foot = (distance: number) => {
      const at = x + side * distance;
      return addScaled(place(at), out, radiusAt(at) + 0.5);
    };
    const reach = 6 + guide.height * 0.5;
    const wire = 0.55 + guide.outer / 60;
    const far = foot(reach + 11);
    const middle = scale(add(centre, far), 0.5);
    return {
      ball: { centre: middle, radius: norm(subtract(centre, middle)) + guide.outer },
      centre,
      normal,
      major: (guide.outer + guide.inner) / 4,
      half: sectionOf(guide),
      wires: [
        ...[1, -1].map((hand) =>
          wireBetween(addScaled(centre, across, (hand * (guide.outer - 0.6)) / 2), foot(reach), wire),
        ),
        wireBetween(foot(reach), foot(reach + 11), wire),
      ],
    };
  });

  /** the drawn line's paint where the blank's surface faces this way; the axis runs along x, nearly */
  const lineAt = (s: number, normal: Vector3): Light | undefined => {
    const { line } = options;
    if (!line || s < line.from || s > line.to) return undefined;
    const round = (Math.atan2(normal[1], normal[2]) * 180) / Math.PI - line.roll;
    const off = Math.abs(round - 360 * Math.round(round / 360)) * (Math.PI / 180) * radiusAt(xAt(s));
    return off < line.width / 2 ? line.light : undefined;
  };

  const blankDistance = (x0: number, y: number, z: number): number => {
    const x = Math.min(Math.max(x0, 0), length);
    const across = y - axisY(x);
    const over = z - axisZ(x);
    const off = Math.sqrt(across * across + over * over) - radiusAt(x);
    const beyond = Math.max(-x0, x0 - length);
    if (beyond <= 0) return off;
    const out = Math.max(off, 0);
    return Math.sqrt(out * out + beyond * beyond);
  };
  const ringDistance = ({ centre, normal, major, half }: PlacedGuide, x: number, y: number, z: number): number => {
    const dx = x - centre[0];
    const dy = y - centre[1];
    const dz = z - centre[2];
    const axial = dx * normal[0] + dy * normal[1] + dz * normal[2];
    const radial = Math.sqrt(Math.max(dx * dx + dy * dy + dz * dz - axial * axial, 0)) - major;
    const beyondWall = Math.abs(radial) - half.wall + half.rounding;
    const beyondFace = Math.abs(axial) - half.thickness + half.rounding;
    const wall = Math.max(beyondWall, 0);
    const face = Math.max(beyondFace, 0);
    const outside = Math.sqrt(wall * wall + face * face);
    return outside + Math.min(Math.max(beyondWall, beyondFace), 0) - half.rounding;
  };
  const wireDistance = ({ from, run, square, radius }: Wire, x: number, y: number, z: number): number => {
    const dx = x - from[0];
    const dy = y - from[1];
    const dz = z - from[2];
    const k = Math.min(Math.max((dx * run[0] + dy * run[1] + dz * run[2]) / square, 0), 1);
    const a = dx - k * run[0];
    const b = dy - k * run[1];
    const c = dz - k * run[2];
    return Math.sqrt(a * a + b * b + c * c) - radius;
  };
  // Marched to hundreds of millions of times: told by plain numbers, the part beside them.
  let part: RodHit['part'] = 'blank';
  /** How far the rod is from a place; afterwards `part` says what of it that is. */
  const nearest = (x: number, y: number, z: number): number => {
    let distance = blankDistance(x, y, z);
    part = grip && x > grip.from ? 'grip' : 'blank';
    for (const guide of guides) {
      // A ball holds ring, frame and foot: beyond what is already nearer they need no look.
      const { centre, radius } = guide.ball;
      const dx = x - centre[0];
      const dy = y - centre[1];
      const dz = z - centre[2];
      const reach = radius + Math.max(distance, 0);
      if (dx * dx + dy * dy + dz * dz > reach * reach) continue;
      const ring = ringDistance(guide, x, y, z);
      if (ring < distance) {
        distance = ring;
        part = 'ring';
      }
      for (const wire of guide.wires) {
        const d = wireDistance(wire, x, y, z);
        if (d < distance) {
          distance = d;
          part = 'frame';
        }
      }
    }
    return distance;
  };
  const normalAt = ([x, y, z]: Vector3): Vector3 => {
    const h = 0.01;
    return unit([
      nearest(x + h, y, z) - nearest(x - h, y, z),
      nearest(x, y + h, z) - nearest(x, y - h, z),
      nearest(x, y, z + h) - nearest(x, y, z - h),
    ]);
  };
  const top =
    Math.max(buttRadius + buttHeight, grip ? grip.radius * 2 : 0, ...guides.map((g) => g.centre[2] + g.major + 3)) + 5;

  return {
    trace(origin, direction, limit) {
      let t = Math.max((top - origin[2]) / direction[2], 0);
      for (let i = 0; i < 90 && t < limit; i++) {
        const distance = nearest(
          origin[0] + t * direction[0],
          origin[1] + t * direction[1],
          origin[2] + t * direction[2],
        );
        if (distance < fine) {
          const point = addScaled(origin, direction, t);
          const hit = part;
          return { point, normal: normalAt(point), part: hit, s: arcAt(Math.max(point[0], 0)) };
        }
        t += 0.97 * distance;
      }
      return undefined;
    },
    light({ point, normal, part: of, s }, direction, lamp) {
      const paint: Light =
        of === 'ring'
          ? [0.12, 0.12, 0.13]
          : of === 'frame'
            ? [0.25, 0.25, 0.26]
            : of === 'grip'
              ? [0.42, 0.28, 0.16]
              : (options.marks?.find((m) => Math.abs(s - m.at) < m.width / 2)?.light ??
                lineAt(s, normal) ??
                options.colour ?? [0.03, 0.03, 0.033]);
      const diffuse = 0.3 + 0.7 * Math.max(dot(normal, lamp), 0);
      const shine = options.gloss ?? { strength: 0.15, exponent: 30 };
      // The lamp is long, lying along the rod: what counts is the mirror direction across it.
      const mirror = addScaled(direction, normal, -2 * dot(direction, normal));
      const align = Math.max(
        (mirror[1] * lamp[1] + mirror[2] * lamp[2]) / Math.max(Math.hypot(mirror[1], mirror[2]), 1e-9),
        0,
      );
      const glint = of === 'grip' ? 0 : shine.strength * align ** shine.exponent;
      // Near the paper its light comes back from below.
      const below = 0.25 * Math.max(-normal[2], 0) * Math.exp(-point[2] / 20);
      return [
        paint[0] * (diffuse + below) + glint,
        paint[1] * (diffuse + below) + glint,
        paint[2] * (diffuse + below) + glint,
      ];
    },
    shadow(point, lamp) {
      let open = 1;
      let t = 0.3;
      for (let i = 0; i < 30 && point[2] + t * lamp[2] < top; i++) {
        const distance = nearest(point[0] + t * lamp[0], point[1] + t * lamp[1], point[2] + t * lamp[2]);
        open = Math.min(open, (6 * distance) / t);
        if (open <= 0) break;
        t += Math.max(distance, 0.3);
      }
      const k = Math.min(Math.max(open, 0), 1);
      return 0.5 + 0.5 * k * k * (3 - 2 * k);
    },
    surroundings() {
      const list: { at: Vector3; reach: number }[] = [];
      for (let x = -10; x < length + 20; x += 10)
        list.push({ at: place(Math.min(Math.max(x, -10), length)), reach: 18 });
      for (const guide of guides) list.push({ at: guide.centre, reach: guide.centre[2] + guide.major + 12 });
      return list;
    },
  };
}
