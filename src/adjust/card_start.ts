import { type Camera, undistort } from '../geometry/camera.ts';
import { fitHomography, poseFromHomography } from '../geometry/homography.ts';
import { rotationMatrix, rotationVector } from '../geometry/rotation.ts';
import { multiply, type Pixel, subtract, transform, transpose } from '../geometry/vector.ts';
import { seatCardCorners } from '../mat/tile.ts';
import type { Tag } from '../vision/tags.ts';

/**
 * First pose of the seat card (bench from card: rotation vector, translation in mm) from the photo that shows most of
 * it. A small square's tilt is ambiguous, so the card starts level, turned as its long side lies.
 */
export function cardStart(seen: readonly { tag: Tag; camera: Camera }[]): number[] | undefined {
  const byCamera = new Map<Camera, Tag[]>();
  for (const { tag, camera } of seen) byCamera.set(camera, [...(byCamera.get(camera) ?? []), tag]);
  const best = [...byCamera].sort((a, b) => b[1].length - a[1].length)[0];
  if (!best) return undefined;
  const [camera, tags] = best;
  const plane = tags.flatMap((tag) => [...seatCardCorners(tag.id)!]) as Pixel[];
  const image = tags.flatMap((tag) => tag.corners.map((corner) => undistort(camera.intrinsics, corner)));
  const h = fitHomography(plane, image);
  if (!h) return undefined;
  const cameraFromCard = poseFromHomography(h);
  const benchFromCamera = transpose(camera.matrix);
  const turn = multiply(benchFromCamera, rotationMatrix(cameraFromCard.rotation));
  const place = transform(benchFromCamera, subtract(cameraFromCard.translation, camera.pose.translation));
  const yaw = Math.atan2(turn[3], turn[0]);
  return [...rotationVector([Math.cos(yaw), -Math.sin(yaw), 0, Math.sin(yaw), Math.cos(yaw), 0, 0, 0, 1]), ...place];
}
