import { InputError } from '../../plan/input_error.ts';
import { parsePlan } from '../../plan/files/plan_file.ts';
import { parseShoot } from '../../plan/files/shoot_file.ts';
import type { OpenedFiles } from './open_files.ts';
import { problemWords } from '../words/problem_words.ts';

/** Fetches the sample build: its plan, its shoot and the shoot's photos. Throws
 * InputError when the network does not give it. */
export async function fetchSample(base: string, onFile: (done: number, all: number) => void): Promise<OpenedFiles> {
  const fetched = async (path: string) => {
    const response = await fetch(new URL(`sample/${path}`, base)).catch(() => undefined);
    if (!response?.ok) throw new InputError(problemWords.sample);
    return response;
  };
  const plan = parsePlan(await (await fetched('plan.json')).text());
  const shoot = parseShoot(await (await fetched('shoot.json')).text());
  let done = 0;
  onFile(done, shoot.photos.length);
  const photos = await Promise.all(
    shoot.photos.map(async (name) => {
      const file = new File([await (await fetched(name)).blob()], name, { type: 'image/jpeg' });
      onFile(++done, shoot.photos.length);
      return file;
    }),
  );
  return { plan, shoot, photos };
}
