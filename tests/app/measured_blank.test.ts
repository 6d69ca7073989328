import { describe, expect, test } from 'vitest';
import { blankOffers, fillBlank } from '../../src/app/edits/measured_blank.ts';
import { withWritten } from '../../src/app/edits/plan_edits.ts';
import { atStage } from '../../src/app/edits/stage_edits.ts';
import { newBuild } from '../../src/app/files/new_build.ts';
import type { BuildDocument } from '../../src/store/build.ts';
import { isSame } from '../../src/store/is_current.ts';
import type { ReportBlank } from '../../src/verdict/report.ts';

const blank: ReportBlank = {
  length: { value: 1398.23, expanded: 0.4 },
  diameters: [...Array.from({ length: 56 }, (_, i) => 25 * i), 1394].map((s) => [s, 2.104 + s / 150, 0.12]),
  bow: [],
};
function typed(): BuildDocument {
  const { document } = newBuild({ id: 'b' });
  const plan = { ...document.plan, blank: { ...document.plan.blank, length: 1400, tipDiameter: 2.5 } };
  const some = withWritten({ ...document, plan }, 'plan.blank.length', { text: '1400 mm', value: 1400 });
  const at = withWritten(some, 'bend.station.0.at', { text: '300', value: 300 });
  return withWritten(at, 'bend.station.0.other', { text: '5', value: 5 });
}

describe('a measured blank in the plan', () => {
  test('is offered beside what stands there, to a tenth along and a hundredth across', () => {
    const said = Object.fromEntries(blankOffers(blank, typed()).map((offer) => [offer.part, offer]));
    expect(said['length']).toMatchObject({ measured: { value: 1398.2, expanded: 0.4 }, stands: 1400 });
    expect(said['tipDiameter']).toMatchObject({ measured: { value: 2.1 }, stands: 2.5 });
    expect(said['buttDiameter']).toMatchObject({ measured: { value: 11.4 }, stands: undefined });
    expect(said['stations']).toMatchObject({ stands: [{ at: 300, diameter: 5 }], expanded: 0.12 });
  });

  test('replaces what is ticked, its typed text with it, and nothing else', () => {
    const document = typed();
    const offers = blankOffers(blank, document);
    const filled = fillBlank(document, offers, new Set(['length', 'buttDiameter']));
    expect(filled.plan.blank).toMatchObject({ length: 1398.2, tipDiameter: 2.5, buttDiameter: 11.4 });
    expect(filled.written?.['plan.blank.length']).toBeUndefined();
    expect(filled.written?.['bend.station.0.at']).toEqual({ text: '300', value: 300 });
    expect(fillBlank(document, offers, new Set())).toBe(document);
  });

  test('gives the bend stations from tip to butt, strictly between the ends, in place of those typed', () => {
    const document = { ...typed(), lengths: 'in' as const };
    const filled = fillBlank(document, blankOffers(blank, document), new Set(['stations']));
    const [again] = blankOffers(blank, filled).filter(({ part }) => part === 'stations');
    const stations = again?.part === 'stations' ? again.stands : [];
    expect(stations).toHaveLength(8);
    expect(again).toMatchObject({ measured: stations });
    const places = stations.map(({ at }) => at);
    expect(places).toEqual(places.toSorted((a, b) => a - b));
    expect(places[0]).toBeGreaterThan(0);
    expect(places.at(-1)).toBeLessThan(1398.2);
    // a length typed in inches, read as the same place
    expect(Number(filled.written?.['bend.station.0.at']?.text) * 25.4).toBeCloseTo(places[0]!, 2);
  });

  test('offers no length and no butt where the grip covers it, no stations for one section', () => {
    const { length: _, ...gripped } = blank;
    expect(blankOffers(gripped, typed()).map(({ part }) => part)).toEqual(['tipDiameter', 'stations']);
    const document = typed();
    const section = { ...document, plan: { ...document.plan, section: { startsAt: 700 } } };
    expect(blankOffers(blank, section).map(({ part }) => part)).not.toContain('stations');
  });
});

test('a bare blank lays aside what roll was counted from, and the guides find it again', () => {
  const { document } = newBuild({ id: 'b' });
  const spine = { ...document, shoot: { ...document.shoot, rollReference: 'spine-line' as const, rollAngle: 180 } };
  const bare = atStage(spine, 'blank');
  expect(bare.shoot).toMatchObject({ stage: 'blank', turn: 0, rollReference: 'guides' });
  expect(bare.shoot.rollAngle).toBeUndefined();
  const back = atStage(bare, 'rings');
  expect(back.shoot).toEqual(spine.shoot);
  // a check made before still speaks of it
  expect(isSame(back.shoot, spine.shoot)).toBe(true);
  expect(isSame(atStage(atStage(spine, 'marks'), 'rings').shoot, spine.shoot)).toBe(true);
  const { earlierMarks: gone } = atStage(
    { ...spine, shoot: { ...spine.shoot, earlierMarks: 'm.json' } },
    'marks',
  ).shoot;
  expect(gone).toBeUndefined();
});
