import type { BuildDocument } from '../../store/build.ts';
import type { Measured, ReportBlank } from '../../verdict/report.ts';
import { withWritten } from './plan_edits.ts';
import { lengthInField } from './plan_reading.ts';

/** A diameter at a place, mm. */
export interface Station {
  at: number;
  diameter: number;
}

/** What a measured blank can put into the plan, beside what stands there now (undefined where nothing does). */
export type BlankOffer =
  | { part: 'length' | 'tipDiameter' | 'buttDiameter'; measured: Measured; stands: number | undefined }
  | { part: 'stations'; measured: Station[]; expanded: number; stands: Station[] };

export type BlankPart = BlankOffer['part'];

/** The bend's fields take so many diameters between tip and butt. */
const mostStations = 8;
const stationField = (row: number, end: 'at' | 'other') => `bend.station.${row}.${end}`;
/** The plan holds what a rule or calliper reads: lengths to 0.1 mm, diameters to 0.01 mm. */
const tenth = (mm: number) => Math.round(mm * 10) / 10;
const hundredth = (mm: number) => Math.round(mm * 100) / 100;

/**
 * What was measured of the bare blank, part by part. The butt's diameter is the last one measured, some millimetres
 * before the end; where the grip covers the butt, neither it nor the length is offered. A section's own stations are
 * counted otherwise by the bend, so none are offered for it.
 */
export function blankOffers(blank: ReportBlank, { plan, written }: BuildDocument): BlankOffer[] {
  const { length, diameters } = blank;
  const [first, last] = [diameters[0], diameters.at(-1)];
  const stands = (part: 'length' | 'tipDiameter' | 'buttDiameter') => plan.blank[part] || undefined;
  const stations = plan.section ? [] : stationsOf(blank);
  const expandedAt = new Map(diameters.map(([at, , expanded]) => [at, expanded]));
  return [
    ...(length
      ? [{ part: 'length' as const, measured: { ...length, value: tenth(length.value) }, stands: stands('length') }]
      : []),
    ...(first ? [diameterOffer('tipDiameter', first, stands('tipDiameter'))] : []),
    ...(length && last ? [diameterOffer('buttDiameter', last, stands('buttDiameter'))] : []),
    ...(stations.length > 0
      ? [
          {
            part: 'stations' as const,
            measured: stations,
            expanded: Math.max(...stations.map(({ at }) => expandedAt.get(at) ?? 0)),
            stands: writtenStations(written),
          },
        ]
      : []),
  ];
}

const diameterOffer = (
  part: 'tipDiameter' | 'buttDiameter',
  [, diameter, expanded]: [number, number, number],
  stands: number | undefined,
): BlankOffer => ({ part, measured: { value: hundredth(diameter), expanded }, stands });

/** Measured diameters as evenly between tip and butt as the measured places allow. */
function stationsOf({ length, diameters }: ReportBlank): Station[] {
  const end = length?.value ?? diameters.at(-1)?.[0] ?? 0;
  const inside = diameters.slice(1, length ? -1 : undefined);
  const near = (wanted: number) =>
    inside.reduce<[number, number, number] | undefined>(
      (best, row) => (!best || Math.abs(row[0] - wanted) < Math.abs(best[0] - wanted) ? row : best),
      undefined,
    );
  const rows = Array.from({ length: mostStations }, (_, i) => near(((i + 1) * end) / (mostStations + 1)));
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
  return offers
    .filter(({ part }) => chosen.has(part))
    .reduce(
      (before, offer) => (offer.part === 'stations' ? withStations(before, offer.measured) : withPart(before, offer)),
      document,
    );
}

function withPart(document: BuildDocument, { part, measured }: Exclude<BlankOffer, { part: 'stations' }>) {
  const { plan } = document;
  const next = { ...document, plan: { ...plan, blank: { ...plan.blank, [part]: measured.value } } };
  return withWritten(next, `plan.blank.${part}`, undefined);
}

function withStations(document: BuildDocument, stations: readonly Station[]): BuildDocument {
  const field = (mm: number) => ({ text: lengthInField(mm, document.lengths), value: mm });
  return Array.from({ length: mostStations }, (_, i) => i).reduce((before, i) => {
    const station = stations[i];
    const at = withWritten(before, stationField(i, 'at'), station && field(station.at));
    return withWritten(at, stationField(i, 'other'), station && field(station.diameter));
  }, document);
}
