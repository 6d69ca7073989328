import { describe, expect, test } from 'vitest';
import { blankOffers, fillBlank, pieceLength } from '../../src/app/edits/measured_blank.ts';
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

  test('takes over what sits on it, of the grip its front alone until the plan says where it ends', () => {
    const at = (value: number) => ({ value, expanded: 0.8 });
    const { length: _, ...bare } = blank;
    const fitted: ReportBlank = {
      ...bare,
      grip: at(1010.04),
      fittings: [
        { kind: 'ferrule', from: at(640.12), to: at(688.3), thicker: 1.4 },
        { kind: 'not-made-out', from: at(800), to: at(806), thicker: 1 },
        { kind: 'winding-check', from: at(1004.2), to: at(1010), thicker: 3 },
      ],
    };
    const document = typed();
    const offers = blankOffers(fitted, document);
    const all = new Set(['ferrule', 'winding-check', 'grip'] as const);
    const filled = fillBlank(document, offers, all);
    expect(filled.plan.fittings).toEqual([
      { kind: 'ferrule', from: 640.1, to: 688.3 },
      { kind: 'winding-check', from: 1004.2, to: 1010 },
    ]);
    expect(filled.written?.['fitting.grip.from']).toEqual({ text: '1010', value: 1010 });
    const ended = withWritten(document, 'fitting.grip.to', { text: '1330', value: 1330 });
    const whole = fillBlank(ended, blankOffers(fitted, ended), all);
    expect(whole.plan.fittings).toContainEqual({ kind: 'grip', from: 1010, to: 1330 });
    expect(Object.keys(whole.written ?? {}).filter((name) => name.startsWith('fitting.'))).toEqual([]);
    // what stands is said, and taken for there
    const again = blankOffers(fitted, whole).find(({ part }) => part === 'ferrule');
    expect(again).toMatchObject({ stands: { kind: 'ferrule', from: 640.1, to: 688.3 }, expanded: 0.8 });
  });

  test('offers no length and no butt where the grip covers it, no stations for one section', () => {
    const { length: _, ...gripped } = blank;
    expect(blankOffers(gripped, typed()).map(({ part }) => part)).toEqual(['tipDiameter', 'stations']);
    const document = typed();
    const section = { ...document, plan: { ...document.plan, section: { startsAt: 700 } } };
    expect(blankOffers(blank, section).map(({ part }) => part)).not.toContain('stations');
  });
});

describe('one piece of a rod that comes apart', () => {
  // a spigot of 70 mm stands out of the butt piece, 3 mm of it showing
  const joints = [{ kind: 'spigot' as const, inner: 'butt' as const, at: 700, length: 70, gap: 3 }];
  const jointed = (): BuildDocument => {
    const document = typed();
    return { ...document, plan: { ...document.plan, joints } };
  };
  /** as it lies by itself, from its own end nearer the tip: 1 mm thicker every 100 mm of rod */
  const piece = (from: number, length: number): ReportBlank => ({
    length: { value: length, expanded: 0.4 },
    diameters: [...Array.from({ length: Math.floor(length / 25) }, (_, i) => 25 * i), length - 4].map((s) => [
      s,
      2 + (from + s) / 100,
      0.12,
    ]),
    bow: [],
  });
  const offered = (blank: ReportBlank, document: BuildDocument, number: number) =>
    Object.fromEntries(blankOffers(blank, document, number).map((offer) => [offer.part, offer]));
  const stationsIn = (blank: ReportBlank, document: BuildDocument, number: number) => {
    const { stations } = offered(blank, document, number);
    return stations?.part === 'stations' ? stations.measured : [];
  };

  test('offers the end that is its own and stations counted along the rod put together, never the rod’s length', () => {
    const tip = piece(0, 700);
    expect(Object.keys(offered(tip, jointed(), 1))).toEqual(['tipDiameter', 'stations']);
    const butt = piece(633, 767);
    expect(Object.keys(offered(butt, jointed(), 2))).toEqual(['buttDiameter', 'stations']);
    expect(offered(butt, jointed(), 2)['buttDiameter']).toMatchObject({ measured: { value: 15.96 } });
    const own = stationsIn(butt, jointed(), 2).filter(({ at }) => at !== 300);
    expect(own.length).toBe(4);
    // none on the spigot, which goes into the other piece
    for (const { at, diameter } of own) {
      expect(at).toBeGreaterThan(703);
      expect(diameter).toBeCloseTo(2 + at / 100, 1);
    }
  });

  test('keeps the stations of the other piece, in order and no more than the bend takes', () => {
    const first = fillBlank(jointed(), blankOffers(piece(0, 700), jointed(), 1), new Set(['stations']));
    const both = fillBlank(first, blankOffers(piece(633, 767), first, 2), new Set(['stations']));
    const places = stationsIn(piece(633, 767), both, 2).map(({ at }) => at);
    expect(places.length).toBe(8);
    expect(places).toEqual(places.toSorted((a, b) => a - b));
    expect(places.filter((at) => at < 700).length).toBe(4);
  });

  test('is told against what the plan makes of it, spigot included; a piece no longer planned offers nothing', () => {
    expect(pieceLength(piece(633, 770), jointed().plan, 2)).toEqual({
      measured: { value: 770, expanded: 0.4 },
      planned: 767,
    });
    expect(pieceLength(piece(0, 700), typed().plan, 1)).toBeUndefined();
    expect(blankOffers(piece(0, 700), typed(), 1)).toEqual([]);
    expect(blankOffers(piece(0, 700), jointed(), 3)).toEqual([]);
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
