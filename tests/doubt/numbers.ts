import { drawShoot, measureDrawn, type MeasuredError } from '../world/drawn_shoot.ts';

/**
 * The coverage of the stated doubt over `count` shoots of fixed seeds, with waving paper, lenses that bend, noise and
 * misread tapes; the share of errors within the expanded uncertainty (k = 2) should be about 95 in 100. Corners and
 * rims are drawn as numbers, not as pictures: what it tests is the mat, the cameras and what is carried from them to a
 * place on the rod.
 */
export function numbersCommand(count: number): void {
  const groups = [
    { name: 'flat, good lens', of: (waves: number, field: number) => waves < 0.3 && field < 0.3 },
    { name: 'waves over 0.6 mm', of: (waves: number) => waves > 0.6 },
    { name: 'field over 0.4 px', of: (_: number, field: number) => field > 0.4 },
    { name: 'all', of: () => true },
  ].map((group) => ({ ...group, shoots: 0, places: [] as MeasuredError[] }));
  let refused = 0;
  for (let seed = 1; seed <= count; seed++) {
    const shoot = drawShoot(seed);
    const measured = measureDrawn(shoot);
    if (!measured || measured.mat.moved || measured.mat.levels.corner > 2) {
      refused++;
      continue;
    }
    for (const group of groups) {
      if (!group.of(shoot.waves, shoot.field)) continue;
      group.shoots++;
      group.places.push(...measured.places);
    }
  }
  const rms = (values: number[]) => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
  const median = (values: number[]) => values.toSorted((a, b) => a - b)[values.length >> 1]!;
  const row = (name: string, cells: (string | number)[]) =>
    console.log(name.padEnd(20) + cells.map((cell) => String(cell).padStart(11)).join(''));
  console.log(`${count} drawn shoots, ${refused} refused; mm, U = 2 u`);
  row('', ['shoots', 'places', 'inside U', 'rms error', 'median U', 'apart: in U', 'rms error', 'median U']);
  for (const { name, shoots, places } of groups) {
    if (places.length === 0) continue;
    const inside = (pick: (place: MeasuredError) => { error: number; u: number }) => {
      const share = places.filter((p) => Math.abs(pick(p).error) <= 2 * pick(p).u).length / places.length;
      return `${(100 * share).toFixed(1)} %`;
    };
    const of = (pick: (place: MeasuredError) => { error: number; u: number }) => [
      inside(pick),
      rms(places.map((p) => pick(p).error)).toFixed(3),
      median(places.map((p) => 2 * pick(p).u)).toFixed(3),
    ];
    row(name, [shoots, places.length, ...of((p) => p), ...of((p) => p.apart)]);
  }
}
