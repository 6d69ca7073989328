import { defaultTolerance, type Plan } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import type { KeptCheck } from '../../src/store/build.ts';
import type { ReportBlank } from '../../src/verdict/report.ts';
import { buildZip, flatPicture } from './made_build.ts';

/** A made-up blank of 1398.2 mm at this turn: it bows by 2.5 mm toward 90 degrees and has a line drawn at 150. */
export function madeBlank(turn: number): ReportBlank {
  const along = [...Array.from({ length: 56 }, (_, i) => 25 * i), 1394];
  const side = 2.5 * Math.sin(((90 + turn) * Math.PI) / 180);
  return {
    length: { value: 1398.23, expanded: 0.4 },
    diameters: along.map((s) => [s, 2.104 + (9.5 * s) / 1400, 0.12]),
    bow: along.map((s) => [s, side * Math.sin((Math.PI * s) / 1394), -0.4 * Math.sin((Math.PI * s) / 1394)]),
    bowExpanded: along.map(() => [0.2, 0.6]),
    // drawn 150 degrees round: it lies toward the camera in the third shoot
    ...(turn === 180 && { line: { from: 300, to: 900, roll: { value: -30, expanded: 3 } } }),
    turn,
    lies: 'flat',
  };
}

/** A build with a blank measured at these turns, the last one last, as a zip; no place is planned on it yet. */
export async function blankBuild(turns: readonly number[]): Promise<Buffer> {
  const plan: Plan = {
    title: 'Hazel rod',
    unit: 'mm',
    blank: { length: 1400, tipDiameter: 2.5, buttDiameter: 12, finish: 'dark' },
    positions: [],
    tolerance: { ...defaultTolerance },
  };
  const readings: Omit<Shoot, 'photos'> = {
    stage: 'blank',
    mat: { rowAlong: 230, rowAcross: 150 },
    rest: { kind: 'flat' },
    rollReference: 'guides',
  };
  const checks = turns.map((turn, i): KeptCheck => {
    const file = `photo-${turn}.jpg`;
    return {
      id: `check-${turn}`,
      buildId: 'hazel',
      at: `2026-11-20T1${i}:00:00.000Z`,
      plan,
      shoot: { ...readings, turn, photos: [file] },
      photoIds: { [file]: `photo-${turn}` },
      report: {
        schema: 'prewrap.report/1',
        unit: 'mm',
        stage: 'blank',
        verdict: 'ready',
        items: [],
        extras: [],
        photos: [{ file, tags: 20, residual: 0.1, problems: [] }],
        scale: { along: 1, across: 1, expanded: 0.0002 },
        notes: ['Sideways, the bow is the blank’s own: nothing pulls it aside on a level mat.'],
        blank: madeBlank(turn),
      },
      evidence: { photos: [], rings: [], closeUps: [] },
    };
  });
  const last = turns.at(-1)!;
  const photo = await flatPicture('#888');
  return buildZip({
    id: 'hazel',
    plan,
    shoot: { ...readings, turn: last },
    photos: new Map(turns.map((turn) => [`photo-${turn}`, photo])),
    inHand: [`photo-${last}`],
    checks: checks.toReversed(),
  });
}
