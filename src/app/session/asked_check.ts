import { InputError } from '../../plan/input_error.ts';
import { plannedByHand } from '../../plan/planned_by_hand.ts';
import { guidesAreOn, type Shoot } from '../../plan/shoot.ts';
import type { KeptCheck } from '../../store/build.ts';
import { photoEntries } from '../files/added_photos.ts';
import { newId } from '../../store/new_id.ts';
import { pieceInHand, planInHand } from '../../store/plan_in_hand.ts';
import { problemWords } from '../words/problem_words.ts';
import type { CheckAnswer, CheckRequest } from '../workers/check_tasks.ts';
import type { Services } from './services.ts';
import type { OpenBuild } from './state.ts';

/** A check of a build as it stands, ready to be asked for. */
export interface AskedCheck {
  buildId: string;
  request: CheckRequest;
  /** the same for the same question: its answer is then the same too */
  name: string;
  /** the check as it is kept, once it is answered */
  answered: (answer: CheckAnswer) => KeptCheck;
}

/** Photos that are about to come into a shoot. */
export type ComingPhotos = readonly { id: string; file: File }[];

/**
 * What a check of this build asks; or will ask once the photos that are `coming` have come in. Throws InputError where
 * a photo is not kept any more.
 */
export async function askedCheck(
  { shelf }: Pick<Services, 'shelf'>,
  build: OpenBuild,
  coming: ComingPhotos = [],
): Promise<AskedCheck> {
  const buildId = build.kept.id;
  const { shoot } = build.history.present;
  const plan = planInHand(build.history.present);
  const piece = pieceInHand(build.history.present);
  const { id: _, photos: before, piece: __, ...readings } = shoot;
  const files = coming.map(({ file }) => file);
  const ids = coming.map(({ id }) => id);
  const entries = [...before, ...photoEntries(buildId, files, before, ids).entries];
  const asked: Shoot = {
    ...readings,
    photos: entries.map((entry) => entry.name),
    ...(piece !== undefined && { piece }),
  };
  const photos = await Promise.all(
    entries.map(async (entry) => {
      const file = coming.find(({ id }) => id === entry.id)?.file ?? (await shelf.photoFile(entry.id));
      if (!file) throw new InputError(problemWords.photoLost(entry.name));
      return { id: entry.id, name: entry.name, file };
    }),
  );
  const keptMat = (await shelf.mats.all()).find(({ id }) => id === build.history.present.keptMat);
  const marks =
    guidesAreOn(shoot.stage) &&
    build.checks.find(({ report, shoot: own }) => report.stage === 'marks' && own.piece === piece);
  const question = {
    plan,
    shoot: plannedByHand(plan, asked),
    photos,
    lenses: (await shelf.lenses.all()).map(({ text }) => text),
    ...(keptMat && { mat: keptMat.text }),
    ...(marks ? { earlierMarks: marks.report } : {}),
  };
  return {
    buildId,
    request: { ...question, base: document.baseURI },
    name: JSON.stringify([buildId, question]),
    answered: (answer) => ({
      id: newId(),
      buildId,
      at: new Date().toISOString(),
      plan,
      shoot: asked,
      photoIds: Object.fromEntries(entries.map((entry) => [entry.name, entry.id])),
      ...answer,
    }),
  };
}
