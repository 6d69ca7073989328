import { type Reply, requestSchema } from './check_messages.ts';
import { fetchOpenCv } from './fetch_opencv.ts';
import { showEvidence } from './show_evidence.ts';
import { checkWords } from '../words/check_words.ts';
import { problemWords } from '../words/problem_words.ts';
import { parsePlan, planToFile } from '../../plan/files/plan_file.ts';
import { InputError } from '../../plan/input_error.ts';

const reply = (message: Reply) => postMessage(message);

/** Share of the progress bar that fetching OpenCV takes; after the first time it passes at once. */
const fetchShare = 0.1;

self.onmessage = async (event: MessageEvent<unknown>) => {
  const { call, request } = requestSchema.parse(event.data);
  const { plan, shoot, photos, base, earlierMarks } = request;
  try {
    const { checkShoot, decodePhotoFile } = await fetchMeasuring(base, (done) =>
      reply({ kind: 'progress', call, stage: checkWords.fetchingMeasure, done: done * fetchShare }),
    );
    const load = async (index: number) => {
      const { name, file } = photos[index]!;
      return decodePhotoFile({ name, bytes: new Uint8Array(await file.arrayBuffer()) });
    };
    const { report, evidence } = await checkShoot(
      // through the file and back: what a file could not say is refused here as well, and places run from tip to butt
      parsePlan(planToFile(plan), checkWords.thePlan),
      shoot,
      load,
      ({ stage, done }) => reply({ kind: 'progress', call, stage, done: fetchShare + (1 - fetchShare) * done }),
      earlierMarks ? { earlierMarks } : {},
    );
    reply({ kind: 'answer', call, answer: { report, evidence: await showEvidence(evidence) } });
  } catch (error) {
    const message = error instanceof Error ? error.message : String(error);
    reply({ kind: 'failed', call, message, expected: error instanceof Error && error.name === 'InputError' });
  }
};

/** The measuring code, OpenCV's file first. Throws InputError when it was never fetched and there is no network. */
async function fetchMeasuring(base: string, onDone: (share: number) => void) {
  try {
    await fetchOpenCv(base, onDone);
    const [{ checkShoot }, { decodePhotoFile }] = await Promise.all([
      import('../../check/check_shoot.ts'),
      import('../../photo/decode_browser.ts'),
    ]);
    return { checkShoot, decodePhotoFile };
  } catch (error) {
    // what fetch() and import() throw when the network gives nothing
    if (error instanceof TypeError) throw new InputError(problemWords.notHere);
    throw error;
  }
}
