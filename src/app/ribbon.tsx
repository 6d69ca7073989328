import { useEffect, useRef, useState } from 'react';
import { formatLength, lengthDigits } from '../plan/length_text.ts';
import { useBuild } from './app_context.tsx';
import { signsOf, signWords } from './item_sign.ts';
import { hashOf, type Place } from './place.ts';
import { RibbonDifferences } from './ribbon_differences.tsx';
import { RibbonPhoto } from './ribbon_photo.tsx';
import { RibbonRod } from './ribbon_rod.tsx';
import { RibbonTools } from './ribbon_tools.tsx';
import { labelRows, panned, type RibbonView, rulerTicks, showing, within, zoomed } from './ribbon_view.ts';
import { isCurrent } from './step_needs.ts';
import { useRibbonGestures } from './use_ribbon_gestures.ts';
import { useWidth } from './use_width.ts';
import { goTo } from './use_place.ts';
import { words } from './words.ts';

const height = 196;
const middle = 112;
const rulerTop = 164;

/**
 * The rod straightened out, tip at the left: drawn from the plan, or the picture itself after a check; planned places
 * above, what was found below, differences drawn larger than they are, a ruler in the builder's unit.
 */
export function Ribbon({ place }: { place: Extract<Place, { screen: 'build' }> }) {
  const build = useBuild();
  const { plan, lengths } = build.history.present;
  const last = build.checks[0];
  const check = last && isCurrent(last, build.history.present) ? last : undefined;
  const start = plan.section?.startsAt ?? 0;
  const length = Math.max(plan.blank.length, ...plan.positions.map((position) => position.at - start), 100);
  const margin = length * 0.03;
  const limits = { from: start - margin, to: start + length + margin };
  const [chosen, setView] = useState<RibbonView>(limits);
  const view = within(chosen, limits);
  const surface = useRef<HTMLDivElement>(null);
  const width = useWidth(surface, 390);
  const x = (mm: number) => ((mm - view.from) / (view.to - view.from)) * width;
  const link = (item: string) => hashOf({ ...place, item });
  const nearest = (mm: number) =>
    plan.positions
      .toSorted((a, b) => Math.abs(a.at - mm) - Math.abs(b.at - mm))
      .find((p) => Math.abs(x(p.at) - x(mm)) < 40);
  const gestures = useRibbonGestures(surface, view, limits, setView, (mm) => {
    const position = nearest(mm);
    if (position) goTo({ ...place, item: position.id });
  });

  const selected = plan.positions.find((position) => position.id === place.item);
  const selectedAt = selected?.at;
  useEffect(() => {
    if (selectedAt !== undefined) setView((seen) => showing(seen, selectedAt, { from: limits.from, to: limits.to }));
  }, [selectedAt, limits.from, limits.to]);

  const zoom = (factor: number) => setView(zoomed(view, factor, selectedAt ?? (view.from + view.to) / 2, limits));
  const keys: Record<string, () => void> = {
    ArrowLeft: () => setView(panned(view, -(view.to - view.from) / 8, limits)),
    ArrowRight: () => setView(panned(view, (view.to - view.from) / 8, limits)),
    '+': () => zoom(1.6),
    '=': () => zoom(1.6),
    '-': () => zoom(1 / 1.6),
    '0': () => setView(limits),
    Home: () => setView(within({ from: limits.from, to: limits.from + view.to - view.from }, limits)),
    End: () => setView(within({ from: limits.to - view.to + view.from, to: limits.to }, limits)),
  };
  const items = plan.positions.map((position) => ({
    position,
    x: x(position.at),
    reported: check?.report.items.find((item) => item.id === position.id),
  }));
  const rows = labelRows(
    items.map((item) => ({ x: item.x, width: 10 * item.position.id.length + 6 })),
    2,
  );
  const spoken = ({ position, reported }: (typeof items)[number]) =>
    words.ribbon.item(
      position.id,
      words.kinds[position.kind],
      formatLength(position.at, lengths),
      reported && signsOf(reported).map((sign) => signWords(sign, lengths)),
    );

  return (
    <section className="ribbon" aria-label={words.ribbon.label}>
      <div
        ref={surface}
        className="ribbon-surface"
        role="group"
        tabIndex={0}
        aria-label={words.ribbon.keys}
        {...gestures}
        onKeyDown={(event) => {
          const act = event.ctrlKey || event.metaKey ? undefined : keys[event.key];
          if (!act) return;
          event.preventDefault();
          act();
        }}
      >
        <svg className="ribbon-drawing" width={width} height={height} aria-hidden="true">
          {check?.evidence.ribbon ? (
            <RibbonPhoto ribbon={check.evidence.ribbon} start={start} x={x} middle={middle} />
          ) : (
            plan.blank.length > 0 && <RibbonRod plan={plan} start={start} x={x} middle={middle} />
          )}
          {items.map(({ position, x: at }, i) => (
            <g key={position.id} className={position.id === place.item ? 'item item-chosen' : 'item'}>
              <path className="planned-tick" d={`M${at} ${40}V${rulerTop}`} />
              {(rows[i]! >= 0 || position.id === place.item) && (
                <text className="item-label" x={at} y={rows[i] === 1 ? 35 : 17}>
                  {position.id}
                </text>
              )}
            </g>
          ))}
          {check && (
            <RibbonDifferences check={check} x={x} top={middle + 34} pixelsPerMm={width / (view.to - view.from)} />
          )}
          <g className="ruler">
            <path d={`M${x(start)} ${rulerTop}H${x(start + length)}`} />
            {rulerTicks(view, width, lengths)
              .filter((tick) => tick.at >= start - 1e-6 && tick.at <= start + length + 1e-6)
              .map((tick) => (
                <g key={tick.at}>
                  <path d={`M${x(tick.at)} ${rulerTop}v${tick.long ? 10 : 5}`} />
                  {tick.long && (
                    <text x={x(tick.at)} y={rulerTop + 26}>
                      {lengthDigits(tick.at, lengths, { mmDecimals: 0, inchDecimals: 1 })}
                    </text>
                  )}
                </g>
              ))}
          </g>
        </svg>
        <ol className="ribbon-items">
          {items.map((item, i) => {
            const before = i > 0 ? (items[i - 1]!.x + item.x) / 2 : -Infinity;
            const after = i + 1 < items.length ? (items[i + 1]!.x + item.x) / 2 : Infinity;
            const from = Math.max(before, item.x - 22);
            const to = Math.min(after, item.x + 22);
            return (
              <li key={item.position.id}>
                <a
                  href={link(item.position.id)}
                  aria-label={spoken(item)}
                  aria-current={item.position.id === place.item ? 'true' : undefined}
                  style={{ left: from, width: Math.max(to - from, 8) }}
                  onFocus={() => setView((seen) => showing(seen, item.position.at, limits))}
                  draggable={false}
                />
              </li>
            );
          })}
        </ol>
        {plan.positions.length === 0 && <p className="ribbon-empty">{words.ribbon.empty}</p>}
      </div>
      <RibbonTools
        onZoom={zoom}
        onWhole={() => setView(limits)}
        whole={view.to - view.from >= limits.to - limits.from - 1e-6}
        note={check ? words.ribbon.measured : words.ribbon.drawn}
      />
    </section>
  );
}
