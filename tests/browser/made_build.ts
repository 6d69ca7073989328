import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import type { Plan } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import type { Build, KeptCheck } from '../../src/store/build.ts';
import { exportBuild } from '../../src/store/export_build.ts';
import { sampleFolder } from './app_page.ts';

/** When every made-up build was begun and checked. */
export const madeAt = '2026-11-20T10:00:00.000Z';

/** The sample's plan, and its shoot without the photos: stage, mat, rest and roll as measured. */
export async function samplePlanned(): Promise<{ plan: Plan; readings: Omit<Shoot, 'photos'> }> {
  const plan = parsePlan(await readFile(join(sampleFolder, 'plan.json'), 'utf8'));
  const { photos: _, ...readings } = parseShoot(await readFile(join(sampleFolder, 'shoot.json'), 'utf8'));
  return { plan, readings };
}

/** A JPEG of one colour, which may say where it was taken. */
export async function flatPicture(colour: string, width = 800, height = 600, place?: string): Promise<Blob> {
  const flat = sharp({ create: { width, height, channels: 3, background: colour } });
  const placed = place === undefined ? flat : flat.withExif({ IFD3: { GPSAreaInformation: place } });
  return new Blob([new Uint8Array(await placed.jpeg().toBuffer())]);
}

/** A build made up of these parts as the zip the app saves; its photos by id, each named `ID.jpg`. */
export async function buildZip({
  id,
  plan,
  shoot,
  photos = new Map<string, Blob>(),
  inHand = [...photos.keys()],
  checks = [],
}: {
  id: string;
  plan: Plan;
  shoot: Omit<Shoot, 'photos'>;
  photos?: ReadonlyMap<string, Blob>;
  /** those of the photos that are in the shoot in hand */
  inHand?: readonly string[];
  /** the last one first */
  checks?: readonly KeptCheck[];
}): Promise<Buffer> {
  const build: Build = {
    schema: 'prewrap.build/1',
    id,
    revision: 1,
    createdAt: madeAt,
    changedAt: madeAt,
    sample: false,
    document: {
      plan,
      thread: '#1f5f8b',
      lengths: 'mm',
      shoot: {
        ...shoot,
        id: 'shoot',
        photos: inHand.map((photo) => ({ id: photo, name: `${photo}.jpg`, bytes: 1, addedAt: madeAt })),
      },
    },
  };
  const { zip } = await exportBuild({ build, checks, photos });
  return Buffer.from(await zip.arrayBuffer());
}

let made = 0;
/** An id that no other build of these tests has: one that is here already would not be opened anew. */
export const madeId = (name: string): string => `${name}-${++made}`;

/** The sample's plan with its mat measured and no photo: for tests of the plan, the mat and the rod's drawing. */
export const plannedSample = async (): Promise<Buffer> => {
  const { plan, readings } = await samplePlanned();
  return buildZip({ id: madeId('planned'), plan, shoot: readings });
};
