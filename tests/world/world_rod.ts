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

interface PlacedGuide {
  centre: Vector3;
  normal: Vector3;
  /** of the torus: from its axis to the wire's middle, and the wire's radius */
  major: number;
  minor: number;
  /** wires of the frame and the foot */
  wires: { from: Vector3; to: Vector3; radius: number }[];
  ball: { centre: Vector3; radius: number };
}

const fine = 0.004;

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
      minor: (guide.outer - guide.inner) / 4,
      wires: [
        ...[1, -1].map((hand) => ({
          from: addScaled(centre, across, (hand * (guide.outer - 0.6)) / 2),
          to: foot(reach),
          radius: wire,
        })),
        { from: foot(reach), to: foot(reach + 11), radius: wire },
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

  const blankDistance = (p: Vector3): number => {
    const x = Math.min(Math.max(p[0], 0), length);
    const off = Math.hypot(p[1] - axisY(x), p[2] - axisZ(x)) - radiusAt(x);
    const beyond = Math.max(-p[0], p[0] - length);
    return beyond > 0 ? Math.hypot(Math.max(off, 0), beyond) : off;
  };
  const ringDistance = ({ centre, normal, major, minor }: PlacedGuide, p: Vector3): number => {
    const d = subtract(p, centre);
    const axial = dot(d, normal);
    const radial = Math.sqrt(Math.max(dot(d, d) - axial * axial, 0));
    return Math.hypot(radial - major, axial) - minor;
  };
  const wireDistance = ({ from, to, radius }: PlacedGuide['wires'][0], p: Vector3): number => {
    const run = subtract(to, from);
    const k = Math.min(Math.max(dot(subtract(p, from), run) / dot(run, run), 0), 1);
    return norm(subtract(p, addScaled(from, run, k))) - radius;
  };
  const nearest = (p: Vector3): { distance: number; part: RodHit['part'] } => {
    let distance = blankDistance(p);
    let part: RodHit['part'] = grip && p[0] > grip.from ? 'grip' : 'blank';
    for (const guide of guides) {
      // A ball holds ring, frame and foot: beyond what is already nearer they need no look.
      const { centre, radius } = guide.ball;
      const [dx, dy, dz] = [p[0] - centre[0], p[1] - centre[1], p[2] - centre[2]];
      const reach = radius + Math.max(distance, 0);
      if (dx * dx + dy * dy + dz * dz > reach * reach) continue;
      const ring = ringDistance(guide, p);
      if (ring < distance) [distance, part] = [ring, 'ring'];
      for (const wire of guide.wires) {
        const d = wireDistance(wire, p);
        if (d < distance) [distance, part] = [d, 'frame'];
      }
    }
    return { distance, part };
  };
  const normalAt = (p: Vector3): Vector3 => {
    const h = 0.01;
    const by = (i: number) => {
      const step = [0, 1, 2].map((k) => (k === i ? h : 0)) as unknown as Vector3;
      return nearest(add(p, step)).distance - nearest(subtract(p, step)).distance;
    };
    return unit([by(0), by(1), by(2)]);
  };
  const top =
    Math.max(buttRadius + buttHeight, grip ? grip.radius * 2 : 0, ...guides.map((g) => g.centre[2] + g.major + 3)) + 5;

  return {
    trace(origin, direction, limit) {
      let t = Math.max((top - origin[2]) / direction[2], 0);
      for (let i = 0; i < 90 && t < limit; i++) {
        const p = addScaled(origin, direction, t);
        const { distance, part } = nearest(p);
        if (distance < fine) return { point: p, normal: normalAt(p), part, s: arcAt(Math.max(p[0], 0)) };
        t += 0.97 * distance;
      }
      return undefined;
    },
    light({ point, normal, part, s }, direction, lamp) {
      const paint: Light =
        part === 'ring'
          ? [0.12, 0.12, 0.13]
          : part === 'frame'
            ? [0.25, 0.25, 0.26]
            : part === 'grip'
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
      const glint = part === 'grip' ? 0 : shine.strength * align ** shine.exponent;
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
        const { distance } = nearest(addScaled(point, lamp, t));
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
