import type { BendUnderLoad } from '../plan/bend/load_range.ts';
import { linePieces } from '../plan/bend/line_run.ts';
import type { LayoutResult } from '../plan/layouts/layout.ts';
import type { MarkList } from '../plan/layouts/mark_list.ts';
import { formatLength } from '../plan/lengths/length_text.ts';

type Words = (mm: number) => string;

export function threadWords({ rows, thread, withoutFeet }: MarkList): string {
  const known = `${(thread / 1000).toFixed(1)} m, feet not counted`;
  if (withoutFeet.length === 0) return `Thread for all wraps: ${known}.`;
  const open = `the plan does not say how long the feet of ${withoutFeet.join(', ')} are`;
  const any = rows.some(({ wraps }) => wraps.length > 0);
  return any
    ? `Thread for the wraps that are known: ${known}; ${open}.`
    : `Thread for the wraps is not known: ${open}.`;
}

export function growthWords({ growth }: LayoutResult, length: Words): string {
  return `growth ${growth!.kind === 'arithmetic' ? `${length(growth!.growth)} a gap` : `by a factor of ${growth!.growth.toFixed(4)}`}`;
}

export function bendWords({ bend, plan }: LayoutResult, length: Words): string {
  const { bend: bent, bendCase, fitted } = bend!;
  const ids = ['tip-top', ...plan.positions.filter((position) => position.kind === 'guide').map(({ id }) => id)];
  const pieces = linePieces(bendCase, bent);
  const tip = bent.points[0]!;
  const rows = bent.turns.map(
    (turn, k) =>
      `${ids[k]!.padEnd(8)} line turns ${turn.toFixed(1).padStart(6)} degrees; to the next the line keeps ${length(pieces[k]!.clearance)} from the blank`,
  );
  return [
    `Bent by ${bendCase.load.tension.toFixed(1)} N at ${bendCase.load.pullAngle} degrees: the tip goes down ${length(-tip.y)} and stands ${length(tip.x)} ahead of the hold.`,
    ...(fitted
      ? [
          `Stiffness from the hang test: exponent ${fitted.exponent.toFixed(2)}, give or take ${(2 * fitted.exponentUncertainty).toFixed(2)}; drops fit to ${length(Math.max(...fitted.residuals.map(Math.abs)))}.`,
        ]
      : []),
    ...rows,
    ...rangeWords(bend!.range, ids, length),
  ].join('\n');
}

export function coneWords({ cone = [] }: LayoutResult, length: Words): string {
  const rows = cone.map(({ id, ring }) => {
    if (!ring.bySize) return `${id.padEnd(8)} is smaller than the guide the cone ends in`;
    const { at, height } = ring.bySize;
    const size = `its bore takes the cone from ${length(at)} toward the tip, where the cone stands ${length(height)} above the blank`;
    const own = ring.byHeight ? `at its own height from ${length(ring.byHeight.at)}` : 'at its own height nowhere';
    return `${id.padEnd(8)} ${size}; ${own}`;
  });
  return ['Cone of line from the spool (common practice, no source):', ...rows].join('\n');
}

/** The rod under the range of loads: worst turn, what the surface is stretched by, clearance from each guide on. */
function rangeWords(range: readonly BendUnderLoad[], ids: readonly string[], length: Words): string[] {
  const rows = range.map(({ name, load, solved, why }) => {
    const pull = `${name.padEnd(8)} ${load.tension.toFixed(1)} N at ${load.pullAngle} degrees:`;
    if (!solved) return `${pull} ${why}`;
    const { worst, strain, pieces } = solved;
    const turn = worst ? `most turn ${worst.turn.toFixed(1)} degrees at ${ids[worst.guide + 1]}, ` : '';
    const clear = pieces.map((piece, k) => `${ids[k]} ${length(piece.clearance)}`).join(', ');
    return `${pull} ${turn}surface stretched by ${(100 * strain.most).toFixed(2)} %; line clear of the blank on to the next: ${clear}`;
  });
  return ['Under a range of pulls (its ends are common practice, no source, and can be changed):', ...rows];
}

/** What is got ready at the bench: tip-top, tape, balance. */
export function benchWords({ tape, tipTop, balance, axisMeets, list }: LayoutResult, length: Words): string {
  const mm = (value: number) => formatLength(value, 'mm', { mmDecimals: 1 });
  const whole = (value: number) => formatLength(value, 'mm', { mmDecimals: 0 });
  const thread = (value: number) => `${(value / 1000).toFixed(1)} m`;
  return [
    ...(tipTop
      ? [
          `Tip-top: ${tipTop.train ? `ring ${mm(tipTop.train.ringOuter)} across; ` : ''}its tube ${mm(tipTop.tube.tenths)} inside, sold in inches as ${tipTop.tube.sixtyFourths}/64; measure the tip first.`,
        ]
      : []),
    ...(tape.length > 0
      ? [
          `Tape to cut: ${tape.map(({ count, width, length: long, ids }) => `${count} of ${whole(width)} by ${whole(long)} (${ids.join(', ')})`).join('; ')}.`,
        ]
      : []),
    ...(list.underwrapThread > 0 ? [`Thread for underwraps: ${thread(list.underwrapThread)}.`] : []),
    ...(list.trimThread > 0 ? [`Thread for trim bands: ${thread(list.trimThread)}.`] : []),
    ...(axisMeets === undefined ? [] : [`The spool’s axis meets the blank ${length(axisMeets)} from the tip.`]),
    ...(balance?.point === undefined ? [] : [`The rod balances ${length(balance.point)} from the tip.`]),
    ...(balance?.seat === undefined
      ? []
      : [`For the balance point asked for the reel goes ${length(balance.seat)} from the tip.`]),
  ].join('\n');
}
