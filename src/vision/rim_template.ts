import { cameraCentre, project } from '../geometry/camera.ts';
import { type Ring, type RimPart, ringRims } from '../geometry/ring.ts';
import type { GradientLevel } from './gradient_pyramid.ts';
import type { View } from './strip.ts';

/** Pixels of the level between the places looked at along a rim. */
const SPACING = 2;

/** A ring's rims as one photo shows them, about the ring's projected centre: places, unit normals, shares of the whole. */
export interface RimTemplate {
  /** the furthest place from the centre, either way, pixels */
  reach: number;
  x: Float32Array;
  y: Float32Array;
  nx: Float32Array;
  ny: Float32Array;
  weight: Float32Array;
}

const partWeight: Record<RimPart, number> = { outline: 1, bore: 0.35, 'face-bore': 0.35, 'face-outer': 0.2 };

/** Where the ring's rims lie round its projected centre, in the level's pixels. */
export function rimTemplate(view: View, ring: Ring, factor: number): RimTemplate | undefined {
  const centre = project(view.camera, ring.centre);
  if (!centre) return undefined;
  const out: number[][] = [];
  for (const run of ringRims(ring, cameraCentre(view.camera), 36)) {
    const part = run[0]!.part;
    const pixels = run.map((p) => project(view.camera, p.point));
    let length = 0;
    const points: number[][] = [];
    for (let k = 0; k + 1 < run.length; k++) {
      const p = pixels[k];
      const q = pixels[k + 1];
      if (!p || !q) return undefined;
      const dx = (q[0] - p[0]) / factor;
      const dy = (q[1] - p[1]) / factor;
      const l = Math.hypot(dx, dy);
      if (l < 0.2) continue;
      const pieces = Math.max(1, Math.round(l / SPACING));
      for (let i = 0; i < pieces; i++) {
        const t = (i + 0.5) / pieces;
        points.push([
          (p[0] - centre[0]) / factor + t * dx,
          (p[1] - centre[1]) / factor + t * dy,
          -dy / l,
          dx / l,
          l / pieces,
        ]);
        length += l / pieces;
      }
    }
    if (length < 4) continue;
    // Each kind of rim counts by its share of a full outline.
    for (const p of points) {
      p[4] = p[4]! * partWeight[part];
      out.push(p);
    }
  }
  const total = out.reduce((s, p) => s + p[4]!, 0);
  const column = (i: number) => Float32Array.from(out, (p) => p[i]!);
  return {
    reach: Math.max(...out.map((p) => Math.max(Math.abs(p[0]!), Math.abs(p[1]!)))),
    x: column(0),
    y: column(1),
    nx: column(2),
    ny: column(3),
    weight: Float32Array.from(out, (p) => p[4]! / total),
  };
}

/** Mean clarity (0..1) of the edges along the template put at a place of the level, or NaN where it leaves the photo. */
export function clarity(level: GradientLevel, t: RimTemplate, x: number, y: number): number {
  const { gx, gy, width, height } = level;
  const margin = t.reach + 2;
  if (!(x > margin && y > margin && x < width - margin && y < height - margin)) return Number.NaN;
  const xs = t.x;
  const ys = t.y;
  const nx = t.nx;
  const ny = t.ny;
  const weight = t.weight;
  let sum = 0;
  for (let k = 0; k < xs.length; k++) {
    const n = ((y + ys[k]! + 0.5) | 0) * width + ((x + xs[k]! + 0.5) | 0);
    const g = gx[n]! * nx[k]! + gy[n]! * ny[k]!;
    sum += weight[k]! * g * g;
  }
  return sum / (127 * 127);
}
