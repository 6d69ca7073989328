import { ringOf } from '../../src/plan/plan.ts';
import type { Build, KeptCheck } from '../../src/store/build.ts';
import type { Report, ReportItem } from '../../src/verdict/report.ts';
import { buildZip, flatPicture, madeAt, madeId, samplePlanned } from './made_build.ts';

/** Where the made-up photos say they were taken; must be in no export. */
export const hiddenPlace = 'under the alder bridge';

/** A made-up report on the sample's plan: all in place, or G3 3.2 mm off. */
export function madeReport(plan: Build['document']['plan'], ready: boolean): Report {
  const items = plan.positions
    .filter((position) => position.kind === 'guide')
    .map((position): ReportItem => {
      const off = !ready && position.id === 'G3';
      return {
        id: position.id,
        kind: 'guide',
        planned: position.at,
        found: true,
        along: { value: position.at + (off ? 3.2 : 0.3), expanded: 0.4 },
        alongVerdict: off ? 'off' : 'on',
        roll: { value: -0.4, expanded: 0.3 },
        rollVerdict: 'on',
        ringOuter: { value: ringOf(position.guide)!.ringOuter, expanded: 0.2 },
        guideVerdict: 'as-planned',
        ...(off && { advice: 'Slide G3 3.2 mm toward the tip.' }),
      };
    });
  return {
    schema: 'prewrap.report/1',
    unit: 'mm',
    stage: 'rings',
    verdict: ready ? 'ready' : 'fix',
    items,
    extras: [],
    photos: [],
    scale: { along: 1, across: 1, expanded: 0.0002 },
    notes: [],
  };
}

/** The sample as a zip with two photos and one finished check on them. */
export async function checkedBuild({
  ready = true,
  id = madeId('made-up'),
  report = {},
  read = [],
}: {
  ready?: boolean;
  id?: string;
  /** what its report says otherwise */
  report?: Partial<Report>;
  /** photos it has read, by name, so that places can be pointed out in them */
  read?: readonly string[];
} = {}): Promise<Buffer> {
  const { plan, readings } = await samplePlanned();
  const check: KeptCheck = {
    id: `${id}-check`,
    buildId: id,
    at: madeAt,
    plan,
    shoot: { ...readings, photos: ['one.jpg', 'two.jpg'] },
    photoIds: { 'one.jpg': 'one', 'two.jpg': 'two' },
    report: { ...madeReport(plan, ready), ...report },
    evidence: await madeEvidence(read),
  };
  const photos = new Map([
    ['one', await flatPicture('#777', 800, 600, hiddenPlace)],
    ['two', await flatPicture('#888', 800, 600, hiddenPlace)],
  ]);
  return buildZip({ id, plan, shoot: readings, photos, checks: [check] });
}

/** A ribbon and a close-up of three guides; the named photos were read and show nothing. */
async function madeEvidence(read: readonly string[]): Promise<KeptCheck['evidence']> {
  const picture = async (colour: string, width: number, height: number) => ({
    width,
    height,
    image: await flatPicture(colour, width, height, hiddenPlace),
  });
  const rim: [number, number][] = [
    [20, 20],
    [60, 20],
    [60, 60],
    [20, 60],
    [20, 20],
  ];
  const empty = { width: 800, height: 600, tags: [], axis: [], outlines: [], rings: [], marks: [] };
  return {
    photos: read.map((file) => ({ file, ...empty })),
    rings: [],
    ribbon: { from: -10, pixelsPerMm: 1, picture: await picture('#556677', 1440, 60) },
    closeUps: await Promise.all(
      ['G1', 'G2', 'G3'].map(async (guide) => ({
        id: guide,
        file: 'one.jpg',
        rims: [rim],
        picture: await picture('#887755', 80, 80),
      })),
    ),
  };
}
