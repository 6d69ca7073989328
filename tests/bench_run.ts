import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { setUpEngine } from '../src/cli/engine_settings.ts';
import { finderAndHands } from '../src/cli/second_thread.ts';
import { TemporaryFile } from '../src/cli/temporary_file.ts';
import { checkShoot } from '../src/check/check_shoot.ts';
import { decodePhotoFile } from '../src/photo/decode_node.ts';
import { photosAside } from '../src/photo/photos_aside.ts';
import { parsePlan } from '../src/plan/files/plan_file.ts';
import { parseShoot } from '../src/plan/files/shoot_file.ts';
import { finderWeights } from '../src/vision/finder/weights_node.ts';

/** What a piece of work took, seconds: by the wall clock, and of the processor's time, all threads together. */
export interface Took {
  seconds: number;
  processor: number;
}

/** One check of a shoot in this process, measured. */
export interface BenchRun {
  photos: number;
  tags: number;
  verdict: string;
  /** of all photos one after the other, before the check */
  decoding: Took;
  stages: (Took & { name: string })[];
  whole: Took;
  /** the largest resident memory of the whole process, as the system counts it (kilobytes on Linux) */
  megabytes: number;
}

interface Clocks {
  wall: number;
  processor: number;
}

function now(): Clocks {
  const { user, system } = process.cpuUsage();
  return { wall: performance.now() / 1000, processor: (user + system) / 1e6 };
}

const between = (from: Clocks, to: Clocks): Took => ({
  seconds: to.wall - from.wall,
  processor: to.processor - from.processor,
});

async function benchRun(folder: string): Promise<BenchRun> {
  const text = (file: string) => readFileSync(join(folder, file), 'utf8');
  const plan = parsePlan(text('plan.json'), 'plan.json');
  const shoot = parseShoot(text('shoot.json'), 'shoot.json');
  const load = (index: number) => {
    const name = shoot.photos[index]!;
    return decodePhotoFile({ name, bytes: readFileSync(join(folder, name)) });
  };
  let last = now();
  const lap = () => {
    const before = last;
    last = now();
    return between(before, last);
  };
  for (const index of shoot.photos.keys()) await load(index);
  const decoding = lap();
  const start = last;
  const { finder, hands, letGo } = await finderAndHands(await finderWeights(), shoot.photos.length);
  const aside = new TemporaryFile();
  const stages = new Map<string, Took>();
  let current = 'Loading the finder';
  const next = (stage: string) => {
    const before = stages.get(current) ?? { seconds: 0, processor: 0 };
    const took = lap();
    stages.set(current, {
      seconds: before.seconds + took.seconds,
      processor: before.processor + took.processor,
    });
    current = stage;
  };
  const { report } = await checkShoot(
    plan,
    shoot,
    load,
    ({ stage }) => next(stage.replace(/^Reading photo \d+ of \d+$/, 'Decoding and reading tags')),
    { finder, hands, ...photosAside(aside) },
  );
  letGo();
  aside.close();
  return {
    photos: shoot.photos.length,
    tags: report.photos.reduce((sum, photo) => sum + photo.tags, 0),
    verdict: report.verdict,
    decoding,
    stages: [...stages].map(([name, took]) => ({ name, ...took })),
    whole: between(start, now()),
    megabytes: Math.round((process.resourceUsage().maxRSS * 1024) / 1e6),
  };
}

setUpEngine();
console.log(JSON.stringify(await benchRun(process.argv[2]!)));
