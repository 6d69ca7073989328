import { readFileSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { checkShoot } from '../../src/check/check_shoot.ts';
import { decodePhotoFile } from '../../src/photo/decode_node.ts';
import type { Plan } from '../../src/plan/plan.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import type { Report } from '../../src/verdict/report.ts';
import { loadFinder } from '../../src/vision/finder/finder.ts';
import { finderWeights } from '../../src/vision/finder/weights_node.ts';

/** What is really there: arc lengths in mm, roll about the axis in degrees (bench zero). */
export interface Truth {
  marks?: { id: string; s: number }[];
  guides?: { id: string; s: number; phi: number; guideOf?: string }[];
  seatRoll?: number | null;
  spineRoll?: number;
}

export interface Shot {
  plan: Plan;
  shoot: Shoot;
  truth: Truth;
  load: (index: number) => ReturnType<typeof decodePhotoFile>;
}

/**
 * A set of fixtures: plan, shoot and photos in one folder, the truth in another where the folder is shipped with the
 * app.
 */
export function readSet(folder: URL, truthFolder: URL = folder): Shot {
  const text = (name: string, from = folder) => readFileSync(new URL(name, from), 'utf8');
  const shoot = parseShoot(text('shoot.json'), 'shoot.json');
  return {
    plan: parsePlan(text('plan.json'), 'plan.json'),
    shoot,
    truth: JSON.parse(text('truth.json', truthFolder)) as Truth,
    load: async (index) => {
      const name = shoot.photos[index]!;
      return decodePhotoFile({ name, bytes: await readFile(new URL(name, folder)) });
    },
  };
}

/** The finder with the networks' files of this repository. */
export const loadedFinder = async () => loadFinder(await finderWeights());

export async function runSet({ plan, shoot, load }: Shot): Promise<Report> {
  const finder = await loadedFinder();
  const { report } = await checkShoot(plan, shoot, load, () => {}, { finder });
  return report;
}

export interface Judgement {
  /** planned ids that are there and were not found, and extra ones not reported */
  lost: string[];
  /** found or extra where nothing is */
  ghosts: string[];
  /** passed though off, missing or another guide; 'rod' where the whole was called ready */
  falsePass: string[];
  /** called off though within tolerance */
  falseFlag: string[];
  /** errors along, mm, as measured and net of the one factor that the tape's scale puts on all of them */
  along: number[];
  net: number[];
  /** errors along over their own expanded uncertainty */
  overDoubt: number[];
  /** errors of the rolls that claim something: stated to 3 degrees or better */
  roll: number[];
  /** share of all rolls that lie within their stated doubt */
  rollCovered: number;
  /** share of errors along within their own expanded uncertainty */
  covered: number;
}

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const n = sorted.length >> 1;
  return sorted.length % 2 ? sorted[n]! : (sorted[n - 1]! + sorted[n]!) / 2;
};

export const rms = (values: readonly number[]) =>
  Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / Math.max(values.length, 1));
export const worst = (values: readonly number[]) => Math.max(...values.map(Math.abs));

/** A roll whose doubt is wider than this says nothing of the guide, degrees. */
const claimsSomething = 3;

/** Holds a report against the truth: nothing is believed that the report says of itself. */
export function judgeReport({ plan, shoot, truth }: Shot, report: Report): Judgement {
  const rings = shoot.stage === 'rings';
  const real: { id: string; s: number; phi?: number; guideOf?: string }[] = (rings ? truth.guides : truth.marks) ?? [];
  const planned = plan.positions.filter((p) => !rings || p.kind === 'guide');
  const zero =
    shoot.rollReference === 'seat-card'
      ? (truth.seatRoll ?? 0)
      : shoot.rollReference === 'spine-line'
        ? (truth.spineRoll ?? 0)
        : median(real.map((r) => r.phi ?? 0));
  const out: Judgement = {
    lost: [],
    ghosts: [],
    falsePass: [],
    falseFlag: [],
    along: [],
    net: [],
    overDoubt: [],
    roll: [],
    rollCovered: 1,
    covered: 0,
  };
  const places: number[] = [];
  let covered = 0;
  let rolls = 0;
  let rollsCovered = 0;
  let faulty = false;
  for (const { id, at } of planned) {
    const there = real.find((r) => r.id === id);
    const item = report.items.find((i) => i.id === id);
    if (!there) {
      faulty = true;
      if (item?.found) out.ghosts.push(id);
      if (item?.alongVerdict === 'on') out.falsePass.push(id);
      continue;
    }
    const off = Math.abs(there.s - at) > plan.tolerance.along;
    const rolled = there.phi !== undefined && Math.abs(there.phi - zero) > plan.tolerance.roll;
    faulty ||= off || rolled || (there.guideOf !== undefined && there.guideOf !== id);
    if (!item?.found || !item.along) {
      out.lost.push(id);
      continue;
    }
    const error = item.along.value - there.s;
    out.along.push(error);
    out.overDoubt.push(error / item.along.expanded);
    places.push(there.s);
    if (Math.abs(error) <= item.along.expanded) covered++;
    if (item.alongVerdict === 'on' && off) out.falsePass.push(`${id} along`);
    if (item.alongVerdict === 'off' && !off) out.falseFlag.push(`${id} along`);
    if (there.phi === undefined || !item.roll) continue;
    const rollError = item.roll.value - (there.phi - zero);
    if (item.roll.expanded <= claimsSomething) out.roll.push(rollError);
    rolls++;
    if (Math.abs(rollError) <= item.roll.expanded) rollsCovered++;
    if (item.rollVerdict === 'on' && rolled) out.falsePass.push(`${id} roll`);
    if (item.rollVerdict === 'off' && !rolled) out.falseFlag.push(`${id} roll`);
  }
  const extra = real.filter((r) => !planned.some((p) => p.id === r.id));
  const near = (a: number, b: number) => Math.abs(a - b) < 2;
  for (const x of extra)
    if (!report.extras.some((e) => near(e.along.value, x.s))) out.lost.push(`extra at ${x.s.toFixed(1)}`);
  for (const e of report.extras)
    if (!extra.some((x) => near(e.along.value, x.s))) out.ghosts.push(`extra at ${e.along.value.toFixed(1)}`);
  if (report.verdict === 'ready' && (faulty || extra.length > 0)) out.falsePass.push('rod');
  out.rollCovered = rolls === 0 ? 1 : rollsCovered / rolls;
  // The scale is the tape's: the one factor on every distance that fits the errors best.
  const scale = places.reduce((sum, s, i) => sum + s * out.along[i]!, 0) / places.reduce((sum, s) => sum + s * s, 0);
  out.net = out.along.map((e, i) => e - (places.length > 2 ? scale * places[i]! : 0));
  out.covered = covered / Math.max(places.length, 1);
  return out;
}
