import { readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import sharp from 'sharp';
import { checkShoot } from '../src/check/check_shoot.ts';
import { decodePhotoFile } from '../src/photo/decode_node.ts';
import type { PhotoFile } from '../src/photo/photo.ts';
import { parsePlan } from '../src/plan/files/plan_file.ts';
import type { Shoot } from '../src/plan/shoot.ts';
import { parseShoot } from '../src/plan/files/shoot_file.ts';
import { loadFinder } from '../src/vision/finder/finder.ts';
import { finderWeights } from '../src/vision/finder/weights_node.ts';
import { benchBendLayout } from './plan/bend_layout_bench.ts';

/**
 * Time and memory of the check, stage by stage: `npm run bench`, or `npm run bench -- FOLDER` for a shoot of one's own.
 * Without a folder: the sample's six photos enlarged to 12 megapixels, and one photo of 12 megapixels. The goal is a
 * walk of six in 15 s and 1 GB, one photo in 4 s, on two cores with nothing else running.
 */
interface Stage {
  name: string;
  seconds: number;
}

const megabytes = (bytes: number) => Math.round(bytes / 1e6);

async function bench(name: string, folder: URL, enlarge: boolean): Promise<void> {
  const text = (file: string) => readFileSync(new URL(file, folder), 'utf8');
  const plan = parsePlan(text('plan.json'), 'plan.json');
  const shoot: Shoot = parseShoot(text('shoot.json'), 'shoot.json');
  const files: PhotoFile[] = [];
  for (const photo of shoot.photos) {
    const bytes = readFileSync(new URL(photo, folder));
    files.push({ name: photo, bytes: enlarge ? await enlarged(bytes) : bytes });
  }
  const stages: Stage[] = [];
  let decoding = 0;
  let since = performance.now();
  let current = 'Loading';
  let highest = process.memoryUsage().rss;
  const look = () => {
    highest = Math.max(highest, process.memoryUsage().rss);
  };
  const start = performance.now();
  const cpu = process.cpuUsage();
  const finder = await loadFinder(await finderWeights());
  const { report } = await checkShoot(
    plan,
    shoot,
    async (index) => {
      const from = performance.now();
      const photo = await decodePhotoFile(files[index]!);
      decoding += (performance.now() - from) / 1000;
      look();
      return photo;
    },
    ({ stage }) => {
      const now = performance.now();
      stages.push({ name: current, seconds: (now - since) / 1000 });
      since = now;
      current = stage.replace(/^Reading photo \d+ of \d+$/, 'Reading tags');
      look();
    },
    { finder },
  );
  const total = (performance.now() - start) / 1000;
  const used = process.cpuUsage(cpu);
  const byName = new Map<string, number>();
  for (const stage of stages) byName.set(stage.name, (byName.get(stage.name) ?? 0) + stage.seconds);
  byName.set('Reading tags', (byName.get('Reading tags') ?? 0) - decoding);
  console.log(`${name}: ${shoot.photos.length} photo(s), verdict ${report.verdict}`);
  const line = (what: string, seconds: number) =>
    console.log(`  ${what.padEnd(40)}${seconds.toFixed(2).padStart(8)} s`);
  line('Decoding', decoding);
  for (const [what, seconds] of byName) if (seconds > 0.005) line(what, seconds);
  line('All', total);
  line('Processor time', (used.user + used.system) / 1e6);
  console.log(`  ${'Largest resident memory'.padEnd(40)}${String(megabytes(highest)).padStart(8)} MB`);
}

/** The photo at 4032 pixels across, its EXIF kept: as heavy as a phone's own, if softer. */
async function enlarged(bytes: Uint8Array): Promise<Uint8Array> {
  const { width, height } = await sharp(bytes).metadata();
  const factor = 4032 / Math.max(width, height);
  return sharp(bytes)
    .resize(Math.round(width * factor), Math.round(height * factor), { kernel: 'lanczos3', fit: 'fill' })
    .keepExif()
    .jpeg({ quality: 90 })
    .toBuffer();
}

const [own] = process.argv.slice(2);
if (own) await bench(own, pathToFileURL(join(resolve(own), '/')), false);
else {
  await bench('A walk at 12 megapixels', new URL('../fixtures/sample/', import.meta.url), true);
  await bench('One photo at 12 megapixels', new URL('../fixtures/walks/d1-rings-one/', import.meta.url), false);
  const layout = benchBendLayout();
  console.log(`Layout by bend, 12 guides: first ${layout.first.toFixed(1)} ms, then ${layout.middle.toFixed(1)} ms`);
}
// The measured peak of the whole process, as the system counts it (kilobytes on Linux).
console.log(`Peak of the whole run: ${megabytes(process.resourceUsage().maxRSS * 1024)} MB`);
