import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { lensProfileToText } from '../../src/adjust/lens_file.ts';
import { fieldGridOf, fieldSize } from '../../src/geometry/lens_field.ts';
import { heldCamera } from '../../src/photo/camera_facts.ts';
import { inspectPhotoFile } from '../../src/photo/inspect_photo.ts';
import { sampleFolder } from './app_page.ts';

/** A file of what is said of the sample's own camera: a usual lens, known loosely. */
export async function looseLens(name: string) {
  const { facts } = inspectPhotoFile({ name: '02.jpg', bytes: await readFile(join(sampleFolder, 'photos/02.jpg')) });
  const { camera } = heldCamera(facts.cameraKey!)!;
  const [width, height] = / (\d+) x (\d+)$/.exec(camera)!.slice(1).map(Number) as [number, number];
  const grid = fieldGridOf(width, height);
  const sigmas = [0.02 * facts.focalPrior!, 20, 20, 0.1, 0.1, 0.001, 0.001, 0.05];
  const n = 8 + 2 * fieldSize(grid);
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++) covariance[i * (n + 1)] = (sigmas[i] ?? 0.4) ** 2;
  const values = [facts.focalPrior!, (width - 1) / 2, (height - 1) / 2, ...Array.from({ length: n - 3 }, () => 0)];
  const text = lensProfileToText({ name, camera, photos: 12, corner: 0.12, grid, values, covariance });
  return { name: 'lens.json', mimeType: 'application/json', buffer: Buffer.from(text) };
}
