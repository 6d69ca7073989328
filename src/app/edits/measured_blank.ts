import type { Stretch } from '../../plan/stretch.ts';
import { piecesOf } from '../../plan/pieces/pieces.ts';
import { type Fitting, type Plan, planStart } from '../../plan/plan.ts';
import type { BuildDocument } from '../../store/build.ts';
import { pieceCount } from '../../store/plan_in_hand.ts';
import type { Measured, ReportBlank } from '../../verdict/report.ts';
import { withWritten } from './plan_edits.ts';
import { lengthInField } from './plan_reading.ts';

/** A diameter at a place, mm. */
export interface Station {
  at: number;
  diameter: number;
}

/** Place along, diameter and its expanded uncertainty, mm. */
type Diameter = ReportBlank['diameters'][number];

/** What sits round the blank, and how well both its ends are known, mm. */
interface SleeveOffer<Kind extends Fitting['kind']> {
  part: Kind;
  measured: Fitting;
  expanded: number;
  stands: Fitting | undefined;
}

/** What a measured blank can put into the plan, beside what stands there now (undefined where nothing does). */
export type BlankOffer =
  | { part: 'length' | 'tipDiameter' | 'buttDiameter' | 'grip'; measured: Measured; stands: number | undefined }
  | SleeveOffer<'ferrule'>
  | SleeveOffer<'winding-check'>
  | { part: 'stations'; measured: Station[]; expanded: number; stands: Station[] };

export type BlankPart = BlankOffer['part'];

/** The bend's fields take so many diameters between tip and butt. */
const mostStations = 8;
const stationField = (row: number, end: 'at' | 'other') => `bend.station.${row}.${end}`;
/** The plan holds what a rule or calliper reads: lengths to 0.1 mm, diameters to 0.01 mm. */
const tenth = (mm: number) => Math.round(mm * 10) / 10;
const hundredth = (mm: number) => Math.round(mm * 100) / 100;

/**
 * What was measured of the bare blank, or of one piece of a rod that comes apart, part by part. The butt's diameter is
 * the last one measured, some millimetres before the end; where the grip covers the butt, neither it nor the length is
 * offered. Of the grip only its front is: where it ends no outline says. A section's own stations are counted otherwise
 * by the bend, so none are offered for it. Of a piece only what is its own is offered: the tip's or the butt's diameter
 * where it has that end, and stations on its outside, beside those of the other pieces; the rod's length hangs on its
 * joints.
 */
export function blankOffers(blank: ReportBlank, { plan, written }: BuildDocument, piece?: number): BlankOffer[] {
  if (piece !== undefined) return pieceOffers(blank, { plan, written }, piece);
  const { length, diameters } = blank;
  const [first, last] = [diameters[0], diameters.at(-1)];
  const stands = (part: 'length' | 'tipDiameter' | 'buttDiameter') => plan.blank[part] || undefined;
  const end = length?.value ?? last?.[0] ?? 0;
  const inside = diameters.slice(1, length ? -1 : undefined);
  const stations = plan.section ? [] : stationsOf(inside, { from: 0, to: end }, mostStations);
  return [
    ...(length
      ? [{ part: 'length' as const, measured: { ...length, value: tenth(length.value) }, stands: stands('length') }]
      : []),
    ...(first ? [diameterOffer('tipDiameter', first, stands('tipDiameter'))] : []),
    ...(length && last ? [diameterOffer('buttDiameter', last, stands('buttDiameter'))] : []),
    ...stationsOffer(stations, diameters, writtenStations(written)),
    ...fittingOffers(blank, { plan, written }),
  ];
}

/** What sits on the blank, counted as the plan counts; of two of a kind the one nearer the tip. */
function fittingOffers(
  { fittings = [], grip }: ReportBlank,
  { plan, written }: Pick<BuildDocument, 'plan' | 'written'>,
): BlankOffer[] {
  const start = planStart(plan);
  const inPlan = (kind: Fitting['kind']) => plan.fittings?.find((fitting) => fitting.kind === kind);
  const sleeves = (['ferrule', 'winding-check'] as const).flatMap((kind): BlankOffer[] => {
    const found = fittings.find((fitting) => fitting.kind === kind);
    if (!found) return [];
    const measured = { kind, from: tenth(found.from.value + start), to: tenth(found.to.value + start) };
    const expanded = Math.max(found.from.expanded, found.to.expanded);
    return measured.from < measured.to ? [{ part: kind, measured, expanded, stands: inPlan(kind) }] : [];
  });
  if (!grip) return sleeves;
  const front = { value: tenth(grip.value + start), expanded: grip.expanded };
  return [
    ...sleeves,
    { part: 'grip', measured: front, stands: inPlan('grip')?.from ?? written?.['fitting.grip.from']?.value },
  ];
}

/** As `blankOffers`, of one piece by itself; nothing where the plan has no such piece any more. */
function pieceOffers(blank: ReportBlank, { plan, written }: Pick<BuildDocument, 'plan' | 'written'>, number: number) {
  const piece = pieceCount(plan) > 1 ? piecesOf(plan).find((one) => one.number === number) : undefined;
  if (!piece) return [];
  const { length } = blank;
  const start = planStart(plan);
  // counted along the rod put together
  const along = blank.diameters.map(([s, ...rest]): Diameter => [s + piece.from - start, ...rest]);
  const [first, last] = [along[0], along.at(-1)];
  const own = { from: piece.outside.from - start, to: piece.outside.to - start };
  const isOwn = (at: number) => at >= own.from && at <= own.to;
  const others = writtenStations(written).filter(({ at }) => !isOwn(at));
  const inside = along.filter(([at], i) => i > 0 && isOwn(at) && (!length || i < along.length - 1));
  const room = Math.min(Math.floor(mostStations / piece.of), mostStations - others.length);
  const measured = stationsOf(inside, own, room);
  const stations = measured.length > 0 ? [...others, ...measured].toSorted((a, b) => a.at - b.at) : [];
  return [
    ...(first && piece.tipSide === 'tip'
      ? [diameterOffer('tipDiameter', first, plan.blank.tipDiameter || undefined)]
      : []),
    ...(length && last && piece.buttSide === 'butt'
      ? [diameterOffer('buttDiameter', last, plan.blank.buttDiameter || undefined)]
      : []),
    ...stationsOffer(stations, along, writtenStations(written)),
  ];
}

function stationsOffer(measured: Station[], diameters: readonly Diameter[], stands: Station[]): BlankOffer[] {
  if (measured.length === 0) return [];
  const expandedAt = new Map(diameters.map(([at, , expanded]) => [tenth(at), expanded]));
  return [
    { part: 'stations', measured, expanded: Math.max(...measured.map(({ at }) => expandedAt.get(at) ?? 0)), stands },
  ];
}

/** A measured piece beside what the plan makes of it, from end to end, spigot included; mm. */
export function pieceLength(
  { length }: ReportBlank,
  plan: BuildDocument['plan'],
  number: number,
): { measured: Measured; planned: number } | undefined {
  const piece = pieceCount(plan) > 1 ? piecesOf(plan).find((one) => one.number === number) : undefined;
  return length && piece && { measured: length, planned: piece.to - piece.from };
}

const diameterOffer = (
  part: 'tipDiameter' | 'buttDiameter',
  [, diameter, expanded]: Diameter,
  stands: number | undefined,
): BlankOffer => ({ part, measured: { value: hundredth(diameter), expanded }, stands });

/** So many of the measured diameters, as evenly over a stretch as the measured places allow. */
function stationsOf(inside: readonly Diameter[], { from, to }: Stretch, count: number): Station[] {
  const near = (wanted: number) =>
    inside.reduce<Diameter | undefined>(
      (best, row) => (!best || Math.abs(row[0] - wanted) < Math.abs(best[0] - wanted) ? row : best),
      undefined,
    );
  const rows = Array.from({ length: Math.max(count, 0) }, (_, i) => near(from + ((i + 1) * (to - from)) / (count + 1)));
  return [...new Set(rows)].flatMap((row) => (row ? [{ at: tenth(row[0]), diameter: hundredth(row[1]) }] : []));
}

function writtenStations(written: BuildDocument['written']): Station[] {
  return Array.from({ length: mostStations }, (_, i) => i).flatMap((i) => {
    const [at, diameter] = [written?.[stationField(i, 'at')]?.value, written?.[stationField(i, 'other')]?.value];
    return at === undefined || diameter === undefined ? [] : [{ at, diameter }];
  });
}

/** Puts the chosen parts of a measured blank into the plan; what was not chosen stays as it was typed. */
export function fillBlank(
  document: BuildDocument,
  offers: readonly BlankOffer[],
  chosen: ReadonlySet<BlankPart>,
): BuildDocument {
  return offers.filter(({ part }) => chosen.has(part)).reduce(withOffer, document);
}

function withOffer(document: BuildDocument, offer: BlankOffer): BuildDocument {
  switch (offer.part) {
    case 'stations':
      return withStations(document, offer.measured);
    case 'ferrule':
    case 'winding-check':
      return withFitting(document, offer.measured);
    case 'grip':
      return withGripFrom(document, offer.measured.value);
    default:
      return withSize(document, offer.part, offer.measured.value);
  }
}

function withSize(document: BuildDocument, part: 'length' | 'tipDiameter' | 'buttDiameter', value: number) {
  const { plan } = document;
  const next = { ...document, plan: { ...plan, blank: { ...plan.blank, [part]: value } } };
  return withWritten(next, `plan.blank.${part}`, undefined);
}

function withFitting(document: BuildDocument, fitting: Fitting): BuildDocument {
  const { kind } = fitting;
  const others = (document.plan.fittings ?? []).filter((one) => one.kind !== kind);
  const plan: Plan = { ...document.plan, fittings: [...others, fitting] };
  return (['from', 'to'] as const).reduce((before, end) => withWritten(before, `fitting.${kind}.${end}`, undefined), {
    ...document,
    plan,
  } as BuildDocument);
}

/** The grip's front alone, where the plan does not say where it ends: it counts once that is typed as well. */
function withGripFrom(document: BuildDocument, from: number): BuildDocument {
  const grip = document.plan.fittings?.find(({ kind }) => kind === 'grip');
  const to = grip?.to ?? document.written?.['fitting.grip.to']?.value;
  if (to !== undefined && from < to) return withFitting(document, { kind: 'grip', from, to });
  return withWritten(document, 'fitting.grip.from', { text: lengthInField(from, document.lengths), value: from });
}

function withStations(document: BuildDocument, stations: readonly Station[]): BuildDocument {
  const field = (mm: number) => ({ text: lengthInField(mm, document.lengths), value: mm });
  return Array.from({ length: mostStations }, (_, i) => i).reduce((before, i) => {
    const station = stations[i];
    const at = withWritten(before, stationField(i, 'at'), station && field(station.at));
    return withWritten(at, stationField(i, 'other'), station && field(station.diameter));
  }, document);
}
