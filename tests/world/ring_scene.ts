import { type BlankAxis, blankRadius, type CrossSection, crossSection } from '../../src/geometry/blank_axis.ts';
import { type Camera, cameraCentre, makeCamera, ray } from '../../src/geometry/camera.ts';
import type { Ring } from '../../src/geometry/ring.ts';
import { rotationVector } from '../../src/geometry/rotation.ts';
import {
  addScaled,
  cross,
  dot,
  norm,
  scale,
  subtract,
  transform,
  unit,
  type Vector3,
} from '../../src/geometry/vector.ts';
import type { Photo } from '../../src/photo/photo.ts';
import type { View } from '../../src/vision/strip.ts';
import { seededNormal } from './seeded_random.ts';

/**
 * A made-up picture of a straight blank over white paper with rings and bands on it, by casting rays: enough light and
 * shade for edges, nothing more. Rings are solids of revolution with a rounded rectangle for a section, met by sphere
 * tracing (Hart 1996).
 */
export interface RingScene {
  axis: BlankAxis;
  rings: Ring[];
  /** bands round the blank: from and to, mm along */
  bands: { from: number; to: number; grey: number }[];
  paper: number;
  blank: number;
  ring: number;
}

/** A camera at a place, looking at another, the photo's right along the bench's x. */
export function cameraLookingAt(eye: Vector3, target: Vector3, focal: number, width: number, height: number): Camera {
  const z = unit(subtract(target, eye));
  const right: Vector3 = unit(addScaled([1, 0, 0], z, -z[0]));
  const y = cross(z, right);
  const matrix = [...right, ...y, ...z] as unknown as Parameters<typeof rotationVector>[0];
  return makeCamera(
    { focal, centre: [(width - 1) / 2, (height - 1) / 2], distortion: [0.03, -0.03, 0.0002, -0.0002, 0] },
    { rotation: rotationVector(matrix), translation: scale(transform(matrix, eye), -1) },
  );
}

/** Distance from a point to a ring's surface, mm; negative inside. */
function ringDistance(ring: Ring, point: Vector3): number {
  const arm = subtract(point, ring.centre);
  const axial = dot(arm, ring.normal);
  const radial = norm(addScaled(arm, ring.normal, -axial));
  const x = Math.abs(radial - (ring.outer + ring.inner) / 2) - ((ring.outer - ring.inner) / 2 - ring.rounding);
  const y = Math.abs(axial) - (ring.halfThickness - ring.rounding);
  return Math.hypot(Math.max(x, 0), Math.max(y, 0)) + Math.min(Math.max(x, y), 0) - ring.rounding;
}

const sections = new WeakMap<BlankAxis, CrossSection>();
function tipSection(axis: BlankAxis): CrossSection {
  const section = sections.get(axis) ?? crossSection(axis, 0);
  sections.set(axis, section);
  return section;
}

/** The grey level that a ray from `origin` along a unit `direction` meets. */
function shade(scene: RingScene, origin: Vector3, direction: Vector3): number {
  let nearest = -origin[2] / direction[2];
  let grey = scene.paper;
  const axis = tipSection(scene.axis);
  // The blank as a thin cone about a straight axis: the ray's nearest approach picks the radius.
  const across = unit(cross(direction, axis.along));
  const toAxis = subtract(axis.point, origin);
  const miss = dot(toAxis, across);
  const flat = unit(cross(axis.along, across));
  const depth = dot(toAxis, flat) / dot(direction, flat);
  const along = dot(subtract(addScaled(origin, direction, depth), axis.point), axis.along);
  const radius = blankRadius(scene.axis, along);
  const end = scene.axis.step * (scene.axis.points.length - 1);
  if (Math.abs(miss) < radius && along > 0 && along < end) {
    const rise = Math.sqrt(radius ** 2 - miss ** 2);
    const t = depth - rise / Math.abs(dot(direction, flat));
    const s = along + dot(direction, axis.along) * (t - depth);
    if (t < nearest) {
      nearest = t;
      const band = scene.bands.find((b) => s > b.from && s < b.to);
      grey = (band?.grey ?? scene.blank) * (0.7 + (0.3 * rise) / radius);
    }
  }
  for (const ring of scene.rings) {
    const middle = dot(subtract(ring.centre, origin), direction);
    const bound = ring.outer + ring.halfThickness;
    if (norm(subtract(addScaled(origin, direction, middle), ring.centre)) > bound) continue;
    let t = middle - bound;
    for (let i = 0; i < 60 && t < middle + bound; i++) {
      const d = ringDistance(ring, addScaled(origin, direction, t));
      if (d < 0.002) {
        if (t < nearest) {
          nearest = t;
          grey =
            scene.ring *
            (0.8 + 0.4 * Math.abs(dot(ringNormal(ring, addScaled(origin, direction, t)), [0.3, 0.2, 0.9])));
        }
        break;
      }
      t += d;
    }
  }
  return grey;
}

function ringNormal(ring: Ring, p: Vector3): Vector3 {
  const h = 0.01;
  const at = (x: number, y: number, z: number) => ringDistance(ring, [p[0] + x, p[1] + y, p[2] + z]);
  return unit([at(h, 0, 0) - at(-h, 0, 0), at(0, h, 0) - at(0, -h, 0), at(0, 0, h) - at(0, 0, -h)]);
}

/** Directions of the rays through a photo, by interpolation between every eighth pixel's: the lens bends smoothly. */
function rayFan(camera: Camera, width: number, height: number): (x: number, y: number) => Vector3 {
  const grain = 8;
  const columns = Math.ceil(width / grain) + 3;
  const rows = Math.ceil(height / grain) + 3;
  const known = Array.from({ length: columns * rows }, (_, i) => {
    const pixel = [((i % columns) - 1) * grain, (Math.floor(i / columns) - 1) * grain] as const;
    return ray(camera, pixel).direction;
  });
  return (x, y) => {
    const i = Math.floor(x / grain) + 1;
    const j = Math.floor(y / grain) + 1;
    const a = x / grain + 1 - i;
    const b = y / grain + 1 - j;
    const k = j * columns + i;
    const top = addScaled(scale(known[k]!, 1 - a), known[k + 1]!, a);
    const bottom = addScaled(scale(known[k + columns]!, 1 - a), known[k + columns + 1]!, a);
    return unit(addScaled(scale(top, 1 - b), bottom, b));
  };
}

/**
 * Whether all of a pixel's rays meet paper: told for squares of eight pixels by how far the ray through their middle
 * passes from the blank and every ring, with twice the room that a ray of the square may stray from it.
 */
function barePaper(
  scene: RingScene,
  camera: Camera,
  through: (x: number, y: number) => Vector3,
  width: number,
): (x: number, y: number) => boolean {
  const side = 8;
  const origin = cameraCentre(camera);
  const { point, along } = tipSection(scene.axis);
  const thickest = Math.max(...scene.axis.radii);
  const looked = (column: number, row: number): boolean => {
    const direction = through(column * side + side / 2, row * side + side / 2);
    const stray = (distance: number) => (2 * side * distance) / camera.intrinsics.focal;
    const away = Math.max(...[point, scene.axis.points.at(-1)!].map((end) => norm(subtract(end, origin))));
    const miss = Math.abs(dot(subtract(point, origin), unit(cross(direction, along))));
    if (miss < thickest + stray(away)) return false;
    return scene.rings.every((ring) => {
      const to = subtract(ring.centre, origin);
      const near = norm(addScaled(to, direction, -dot(to, direction)));
      return near > ring.outer + ring.halfThickness + stray(norm(to));
    });
  };
  const known = new Map<number, boolean>();
  return (x, y) => {
    const [column, row] = [Math.floor(x / side), Math.floor(y / side)];
    const square = row * width + column;
    const before = known.get(square);
    if (before !== undefined) return before;
    const bare = looked(column, row);
    known.set(square, bare);
    return bare;
  };
}

const levelOf = (value: number): number => Math.min(255, Math.max(0, Math.round(value)));

/** Takes the photo: 2 x 2 rays a pixel spread over a pixel and a half (about a lens's blur), normal noise. */
export function takePhoto(
  scene: RingScene,
  camera: Camera,
  { width, height }: { width: number; height: number },
  noise: number,
  seed: number,
): View {
  const luma = new Uint8Array(width * height);
  const normal = seededNormal(seed);
  const origin = cameraCentre(camera);
  const through = rayFan(camera, width, height);
  const bare = barePaper(scene, camera, through, width);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (bare(x, y)) {
        luma[y * width + x] = levelOf(scene.paper + noise * normal());
        continue;
      }
      let sum = 0;
      for (const j of [-0.38, 0.38]) for (const i of [-0.38, 0.38]) sum += shade(scene, origin, through(x + i, y + j));
      luma[y * width + x] = levelOf(sum / 4 + noise * normal());
    }
  }
  const half = Math.ceil(width / 2) * Math.ceil(height / 2);
  const photo: Photo = {
    file: `photo-${seed}`,
    width,
    height,
    luma,
    blueDifference: new Uint8Array(half).fill(128),
    redDifference: new Uint8Array(half).fill(128),
  };
  return { photo, camera };
}
