import { planStart, type Position } from '../../plan/plan.ts';
import { useEffect, useMemo, useRef, useState } from 'react';
import { formatLength } from '../../plan/lengths/length_text.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { useBuild } from '../session/app_context.tsx';
import { signsOf, signInWords } from '../kit/item_sign.ts';
import { hashOf, type Place } from '../route/place.ts';
import { RibbonDifferences } from './ribbon_differences.tsx';
import { followGestures } from './ribbon_gestures.ts';
import { RibbonPicture } from './ribbon_picture.tsx';
import { RibbonRuler } from './ribbon_ruler.tsx';
import { RibbonTools } from './ribbon_tools.tsx';
import { labelRows } from '../kit/label_rows.ts';
import { type RibbonView, showing, within, zoomed } from './ribbon_view.ts';
import { shownOnRibbon, type ShownOnRibbon } from '../session/step_needs.ts';
import { useWidth } from '../kit/use_width.ts';
import { ribbonWords } from '../words/ribbon_words.ts';
import { kindWords } from '../words/sign_words.ts';

type BuildPlace = Extract<Place, { screen: 'build' }>;

const height = 208;
const middle = 106;
const rulerTop = 176;

/** The stretch in view: the whole rod until a part of it is chosen, whatever the rod grows to meanwhile. */
function useView(limits: RibbonView) {
  const [chosen, choose] = useState<RibbonView>();
  const surface = useRef<HTMLDivElement>(null);
  useEffect(
    () =>
      surface.current
        ? followGestures(surface.current, limits, (change) => choose((seen) => change(seen ?? limits)))
        : undefined,
    [limits],
  );
  return { view: chosen ? within(chosen, limits) : limits, surface, choose };
}

/** A planned place on the ribbon, with what the check found of it. */
interface RibbonItem {
  position: Position;
  /** px from the left */
  x: number;
  reported: ReportItem | undefined;
  /** where it is by the photos that have come in so far, mm */
  soFar: number | undefined;
}

/** How millimetres along the rod lie on the page. */
interface RibbonScale {
  x: (mm: number) => number;
  view: RibbonView;
  /** of the rod itself, mm */
  start: number;
  length: number;
  /** px */
  width: number;
}

/**
 * The rod straightened out, tip at the left: drawn from the plan, or the picture itself after a check; planned places
 * above, what was found below, differences drawn larger than they are, a ruler in the builder's unit.
 */
export function Ribbon({ place }: { place: BuildPlace }) {
  const build = useBuild();
  const whatShows = useMemo(() => shownOnRibbon(build, place.step), [build, place.step]);
  const { plan, check, soFar } = whatShows;
  const start = planStart(plan);
  const length = Math.max(plan.blank.length, ...plan.positions.map((position) => position.at - start), 100);
  const limits = useMemo(() => ({ from: start - length * 0.03, to: start + length * 1.03 }), [start, length]);
  const { view, surface, choose } = useView(limits);
  const [width, followWidth] = useWidth<HTMLDivElement>(390);
  const x = (mm: number) => ((mm - view.from) / (view.to - view.from)) * width;

  const selected = plan.positions.find((position) => position.id === place.item);
  const [shown, setShown] = useState(selected?.id);
  if (selected && shown !== selected.id) {
    setShown(selected.id);
    choose(showing(view, selected.at, limits));
  }

  const zoom = (factor: number) => choose(zoomed(view, factor, selected?.at ?? (view.from + view.to) / 2, limits));
  const items = plan.positions.map((position) => ({
    position,
    x: x(position.at),
    reported: check?.report.items.find((item) => item.id === position.id),
    soFar: soFar?.report.items.find((item) => item.id === position.id)?.along?.value,
  }));
  return (
    <section className="ribbon" aria-label={ribbonWords.label}>
      <div ref={surface} className="ribbon-surface">
        <RibbonDrawing shown={whatShows} items={items} chosen={place.item} scale={{ x, view, start, length, width }} />
        <div ref={followWidth} />
        <RibbonKeys
          items={items}
          place={place}
          onFocus={(at) => choose((seen) => showing(seen ?? limits, at, limits))}
        />
        {plan.positions.length === 0 && plan.blank.length === 0 && <p className="ribbon-empty">{ribbonWords.empty}</p>}
      </div>
      {plan.blank.length > 0 && (
        <RibbonTools
          onZoom={zoom}
          onWhole={() => choose(undefined)}
          whole={view.to - view.from >= limits.to - limits.from - 1e-6}
          note={check ? ribbonWords.measured : soFar ? ribbonWords.soFar(soFar.shoot.photos.length) : ribbonWords.drawn}
        />
      )}
    </section>
  );
}

/** The picture: rod, planned places with their names, what was found, ruler. */
function RibbonDrawing({
  shown,
  items,
  chosen,
  scale,
}: {
  shown: ShownOnRibbon;
  items: readonly RibbonItem[];
  /** the place in hand, by its name */
  chosen: string | undefined;
  scale: RibbonScale;
}) {
  const { lengths } = useBuild().history.present;
  const { x, view, start, length, width } = scale;
  const { plan, check } = shown;
  const rows = labelRows(
    items.map((item) => ({ x: item.x, width: 10 * item.position.id.length + 6 })),
    2,
  );
  return (
    <svg className="ribbon-drawing" width={width} height={height} aria-hidden="true">
      <RibbonPicture shown={shown} x={x} middle={middle} />
      {items.map(({ position, x: at, soFar }, i) => (
        <g key={position.id} className={position.id === chosen ? 'item item-chosen' : 'item'}>
          <path className="planned-tick" d={`M${at} ${40}V${rulerTop}`} />
          {(rows[i]! >= 0 || position.id === chosen) && (
            <text className="item-label" x={at} y={rows[i] === 1 ? 35 : 17}>
              {position.id}
            </text>
          )}
          {soFar !== undefined && <path className="so-far-tick" d={`M${x(soFar)} ${middle + 30}v14`} />}
        </g>
      ))}
      {check && <RibbonDifferences check={check} x={x} top={middle + 37} pixelsPerMm={width / (view.to - view.from)} />}
      {plan.blank.length > 0 && (
        <RibbonRuler
          view={view}
          from={start}
          to={start + length}
          x={x}
          top={rulerTop}
          width={width}
          display={lengths}
        />
      )}
    </svg>
  );
}

/** A link over each place, for fingers, keys and screen readers. */
function RibbonKeys({
  items,
  place,
  onFocus,
}: {
  items: readonly RibbonItem[];
  place: BuildPlace;
  onFocus: (at: number) => void;
}) {
  const { lengths } = useBuild().history.present;
  const spoken = ({ position, reported, soFar }: RibbonItem) =>
    ribbonWords.item(
      position.id,
      kindWords[position.kind],
      formatLength(position.at, lengths),
      reported
        ? signsOf(reported).map((sign) => signInWords(sign, lengths))
        : soFar !== undefined && [ribbonWords.madeOutAt(formatLength(soFar, lengths))],
    );
  /** an item's room to be touched: 44 px, or up to half way to its neighbours */
  const touch = (i: number) => {
    const at = items[i]!.x;
    const left = Math.max(at - 22, i > 0 ? (items[i - 1]!.x + at) / 2 : -Infinity);
    const right = Math.min(at + 22, i + 1 < items.length ? (items[i + 1]!.x + at) / 2 : Infinity);
    return { left, width: Math.max(right - left, 8) };
  };
  return (
    <ol className="ribbon-items" aria-label={ribbonWords.keys}>
      {items.map((item, i) => (
        <li key={item.position.id}>
          <a
            href={hashOf({ ...place, item: item.position.id })}
            aria-label={spoken(item)}
            aria-current={item.position.id === place.item ? 'true' : undefined}
            style={touch(i)}
            onFocus={() => onFocus(item.position.at)}
            draggable={false}
          />
        </li>
      ))}
    </ol>
  );
}
