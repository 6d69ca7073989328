import type {
  CheckAnswer,
  CheckProgress,
  CheckRequest,
  CheckTasks,
  LensAnswer,
  LensRequest,
  MatAnswer,
  MatRequest,
} from './check_tasks.ts';
import { startFurtherWorker } from './further_worker.ts';
import { whyNotHere } from './missing_part.ts';
import { openLanesFile } from './lanes_file.ts';
import { lockDown } from './lock_down.ts';
import { serveCalls } from './serve_calls.ts';
import { showEvidence } from './show_evidence.ts';
import { checkWords } from '../words/check_words.ts';
import { parseMatProfile } from '../../adjust/mat_file.ts';
import { parseLensProfile } from '../../adjust/lens_file.ts';
import { makeCheckMemory } from '../../check/check_memory.ts';
import type { PhotoFile } from '../../photo/photo.ts';
import { photosAside } from '../../photo/photos_aside.ts';
import { parsePlan, planToFile } from '../../plan/files/plan_file.ts';
import { InputError } from '../../plan/input_error.ts';
import { keptLensOf, keptMatOf } from '../../store/profile_to_keep.ts';
import { loadOpenCv } from '../../vision/opencv.ts';

/** Share of the progress bar that fetching OpenCV takes; after the first time it passes at once. */
const fetchShare = 0.1;

type TellProgress = (progress: CheckProgress) => void;
const whileFetching = (progress: TellProgress) => (done: number) =>
  progress({ stage: checkWords.fetchingMeasure, done: done * fetchShare });
const afterFetching =
  (progress: TellProgress) =>
  ({ stage, done }: CheckProgress) =>
    progress({ stage, done: fetchShare + (1 - fetchShare) * done });

lockDown();
serveCalls<CheckTasks>({ check, makeLens, makeMat });

/** A walk is checked again with each photo that comes in: what was read of the others stays as long as the worker. */
const memory = makeCheckMemory();

/** Of long walks not all that is held of the photos finds room in memory. */
const keeping = openLanesFile().then((file) => file && photosAside(file));

async function check(request: CheckRequest, progress: TellProgress, goOn: () => Promise<void>): Promise<CheckAnswer> {
  const { plan, shoot, photos, lenses, mat, base, earlierMarks } = request;
  const { checkShoot, decodePhotoFile, finder, hands } = await fetchMeasuring(base, whileFetching(progress));
  const load = async (index: number) => decodePhotoFile(await photoFile(photos[index]!));
  const held = await keeping;
  const { report, evidence } = await checkShoot(
    // through the file and back: what a file could not say is refused here as well, and places run from tip to butt
    parsePlan(planToFile(plan), checkWords.thePlan),
    shoot,
    load,
    (step) => {
      afterFetching(progress)(step);
      return goOn();
    },
    {
      finder,
      hands,
      lenses: lenses.map((text) => parseLensProfile(text, checkWords.keptLens)),
      ...(mat !== undefined && { mat: parseMatProfile(mat, checkWords.keptMat) }),
      ...(earlierMarks && { earlierMarks }),
      ...held,
      remembered: memory(photos.map(({ id, name }) => `${id} ${name}`)),
    },
  );
  progress({ stage: checkWords.drawing, done: 1, report });
  await goOn();
  return { report, evidence: await showEvidence(evidence()) };
}

const photoFile = async ({ name, file }: { name: string; file: Blob }): Promise<PhotoFile> => ({
  name,
  bytes: new Uint8Array(await file.arrayBuffer()),
});

async function makeLens({ photos, madeAt, base }: LensRequest, progress: TellProgress): Promise<LensAnswer> {
  const { making, decodePhotoFile } = await fetchMaking(base, progress, () => import('../../check/make_lens.ts'));
  const { profile, sentences } = await making.makeLens(
    photos.length,
    async (index) => decodePhotoFile(await photoFile(photos[index]!)),
    { madeAt, onProgress: afterFetching(progress) },
  );
  return { lens: keptLensOf(profile), sentences };
}

async function makeMat(
  { photos, readings, name, madeAt, lenses, base }: MatRequest,
  progress: TellProgress,
): Promise<MatAnswer> {
  const { making, decodePhotoFile } = await fetchMaking(base, progress, () => import('../../check/make_mat.ts'));
  const { profile, sentences } = await making.makeMat(
    { photos: photos.map((photo) => photo.name), mat: readings },
    async (index) => decodePhotoFile(await photoFile(photos[index]!)),
    {
      name,
      madeAt,
      lenses: lenses.map((text) => parseLensProfile(text, checkWords.keptLens)),
      onProgress: afterFetching(progress),
    },
  );
  return { mat: keptMatOf(profile), sentences };
}

/** What keeps a thing that photos tell (`making`), with the decoder and OpenCV. */
const fetchMaking = <T>(base: string, progress: TellProgress, fetchPart: () => Promise<T>) =>
  fetched(base, async () => {
    const [making, { decodePhotoFile }] = await Promise.all([
      fetchPart(),
      import('../../photo/decode_browser.ts'),
      loadOpenCv(whileFetching(progress)),
    ]);
    return { making, decodePhotoFile };
  });

let measuring: ReturnType<typeof fetchAll> | undefined;

/**
 * The measuring code, the finder's networks and OpenCV; they stay as long as the worker. Throws InputError
 * when it can't be had.
 */
async function fetchMeasuring(base: string, onDone: (share: number) => void) {
  try {
    measuring ??= fetchAll(base, onDone);
    return await measuring;
  } catch (error) {
    // what was not fetched may come the next time
    measuring = undefined;
    throw error;
  }
}

function fetchAll(base: string, onDone: (share: number) => void) {
  return fetched(base, async () => {
    const fetchFinder = async () => {
      const [{ loadFinder }, { finderWeights }] = await Promise.all([
        import('../../vision/finder/finder.ts'),
        import('../../vision/finder/weights_browser.ts'),
      ]);
      const weights = await finderWeights();
      return { weights, finder: await loadFinder(weights) };
    };
    const [{ checkShoot }, { piecesBy }, { oneHand }, { twoHands }, { decodePhotoFile }, { weights, finder }] =
      await Promise.all([
        import('../../check/check_shoot.ts'),
        import('../../check/pieces.ts'),
        import('../../check/hands.ts'),
        import('../../check/second_hand.ts'),
        import('../../photo/decode_browser.ts'),
        fetchFinder(),
        loadOpenCv(onDone),
      ]);
    const here = piecesBy(finder);
    const further = startFurtherWorker();
    const hands = further ? twoHands(here, further, weights) : oneHand(here);
    return { checkShoot, decodePhotoFile, finder, hands };
  });
}

/** What `fetch` gives. Throws InputError where the network gives nothing. */
async function fetched<T>(base: string, fetch: () => Promise<T>): Promise<T> {
  try {
    return await fetch();
  } catch (error) {
    // what fetch() and import() throw when the network gives nothing
    if (error instanceof TypeError) throw new InputError(await whyNotHere(base));
    throw error;
  }
}
