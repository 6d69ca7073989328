import type { RingFit } from './ring_fit.ts';
import { STATE_SIZE } from './ring_state.ts';

/** How well it is known how far the visible outline lies inside the true one, mm as a diameter. */
const INSET_DOUBT = 0.2;
/**
 * What all photos have in common and the fit cannot see, pixels: the light falls from one side, so shading and
 * mirroring shift a ring's edges alike in every photo; along the blank the photos look from either side and it evens
 * out in part. From one photo a side may be taken for its neighbour.
 */
const LIGHT_ACROSS = 0.35;
const LIGHT_ALONG = 0.3;
const LIGHT_AWAY = 0.3;
const ALONG_FROM_ONE = 0.5;

/** Covariance of along, right, up and outer diameter: the fit's own and what it cannot see. */
export function honestCovariance({ state, covariance, pxPerMm, views }: RingFit): number[] {
  const picked = [0, 1, 2, 5];
  const factor = [1, 1, 1, 2];
  const honest = picked.flatMap((a, i) =>
    picked.map((b, j) => factor[i]! * factor[j]! * covariance[a * STATE_SIZE + b]!),
  );
  const along = (views.length === 1 ? ALONG_FROM_ONE : LIGHT_ALONG) / pxPerMm;
  const across = LIGHT_ACROSS / pxPerMm;
  const distance = Math.hypot(state[1]!, state[2]!);
  const [right, up] = [state[2]! / distance, -state[1]! / distance];
  honest[0]! += along ** 2;
  // Across the radius with one size, along it with another: the tilted ellipse between them, in right and up.
  const away = LIGHT_AWAY / pxPerMm;
  honest[5]! += (across * right) ** 2 + (away * up) ** 2;
  honest[6]! += (across ** 2 - away ** 2) * right * up;
  honest[9]! += (across ** 2 - away ** 2) * right * up;
  honest[10]! += (across * up) ** 2 + (away * right) ** 2;
  honest[15]! += INSET_DOUBT ** 2;
  return honest;
}
