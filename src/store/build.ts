import type { PaperName } from '../mat/tile.ts';
import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { Plan } from '../plan/plan.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { Evidence } from '../verdict/evidence.ts';
import type { Report } from '../verdict/report.ts';

/** What the builder can change and take back: one build's plan, its looks, and the shoot in hand. */
export interface BuildDocument {
  plan: Plan;
  /** the builder's own thread, a CSS hex colour: the app's one accent */
  thread: string;
  /** how the builder reads lengths on every screen */
  lengths: LengthDisplay;
  /** the mat as it was printed, once the builder has said so */
  printed?: PrintedMat;
  shoot: ShootInHand;
  /** id of the kept mat that the rod lies on, still taped as it was */
  keptMat?: string;
  /** what was typed into the plan screen's fields, by the field's name */
  written?: Record<string, Written>;
}

/** A field as it was typed, and what was read from it: mm, degrees or a count; absent while it cannot be read. */
export interface Written {
  text: string;
  value?: number;
}

/** Paper and number of tiles, where they differ from what is offered. */
export interface PrintedMat {
  paper?: PaperName;
  tiles?: number;
}

/** The photos and readings of one round over the mat; a new round keeps the mat's readings. */
export interface ShootInHand extends Omit<Shoot, 'photos'> {
  id: string;
  photos: PhotoEntry[];
}

/** A photo in a shoot; its file is kept apart under the same id. */
export interface PhotoEntry {
  id: string;
  name: string;
  bytes: number;
  addedAt: string;
}

/** One build as it is kept. `revision` counts savings, so that two open tabs notice each other. */
export interface Build {
  schema: 'prewrap.build/1';
  id: string;
  revision: number;
  createdAt: string;
  changedAt: string;
  sample: boolean;
  document: BuildDocument;
}

/** A photo's file as it is kept. */
export interface KeptPhoto {
  id: string;
  buildId: string;
  name: string;
  file: Blob;
}

/** A picture made ready to show and keep: an encoded image and its size in pixels. */
export interface ShownPicture {
  width: number;
  height: number;
  image: Blob;
}

type Shown<T> = { [K in keyof T]: K extends 'picture' ? ShownPicture : T[K] };

/** A check's evidence with its pictures encoded. */
export interface ShownEvidence extends Omit<Evidence, 'ribbon' | 'closeUps'> {
  ribbon?: Shown<NonNullable<Evidence['ribbon']>>;
  closeUps: Shown<Evidence['closeUps'][number]>[];
}

/** One finished check: what was asked, what came out, what shows it. Never changed afterwards. */
export interface KeptCheck {
  id: string;
  buildId: string;
  /** ISO 8601 */
  at: string;
  plan: Plan;
  shoot: Shoot;
  /** kept photo of each of the shoot's file names */
  photoIds: Record<string, string>;
  report: Report;
  evidence: ShownEvidence;
}

/** What a build waits for, the most pressing first. */
export const dues = ['move', 'check', 'mark', 'plan', 'ready'] as const;
export type Due = (typeof dues)[number];

/** What the list of builds shows of each. */
export interface BuildSummary {
  id: string;
  title: string;
  thread: string;
  sample: boolean;
  changedAt: string;
  /** something is kept under its id that can't be read */
  damaged?: boolean;
  /** what it waits for; absent where it can't be read */
  due?: Due;
  /** of the last check, while it speaks of the plan and photos as they are now */
  verdict?: Report['verdict'];
}
