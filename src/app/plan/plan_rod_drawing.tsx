import { type ReactNode, type RefObject, useEffect, useMemo, useRef, useState } from 'react';
import { useBuild } from '../session/app_context.tsx';
import { useWidth } from '../kit/use_width.ts';
import { PlanRodHandles } from './plan_rod_handles.tsx';
import { PlanRodLoaded } from './plan_rod_loaded.tsx';
import { PlanRodPicture } from './plan_rod_picture.tsx';
import { rodShapes } from './plan_rod_shapes.ts';
import { useWrapPractice } from './plan_wraps.tsx';
import { planWords } from '../words/plan_words.ts';

/** px a millimetre, along and across alike; the whole rod where it says so */
const closeness = ['whole', 1, 2, 4] as const;
const room = { side: 14, top: 46, bottom: 34 };

/** The planned rod true to scale, as it is typed: guides are moved along it by finger, mouse or keys. */
export function PlanRodDrawing() {
  const { plan, lengths } = useBuild().history.present;
  const practice = useWrapPractice();
  const [step, setStep] = useState(closeness.indexOf(2));
  const [width, followWidth] = useWidth<HTMLElement>(358);
  const window_ = useRef<HTMLDivElement>(null);
  const shapes = useMemo(() => rodShapes(plan, practice), [plan, practice]);
  const chosen = closeness[step]!;
  const length = Math.max(shapes.to - shapes.from, 1);
  const perMm = chosen === 'whole' ? (width - 2 * room.side) / length : chosen;
  const x = (at: number) => room.side + (at - shapes.from) * perMm;
  const axis = room.top + shapes.up * perMm;
  const height = axis + shapes.down * perMm + room.bottom;
  useChangedInView(window_, x);
  if (plan.blank.length === 0) return null;
  const button = (label: string, sign: ReactNode, by: number) => (
    <button
      type="button"
      className="quiet icon"
      aria-label={label}
      disabled={closeness[step + by] === undefined}
      onClick={() => setStep(step + by)}
    >
      {sign}
    </button>
  );
  return (
    <section ref={followWidth} aria-label={planWords.drawing} className="fields">
      <h2>{planWords.drawing}</h2>
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- what scrolls must be reachable by keyboard */}
      <div ref={window_} className="rod-window" role="region" aria-label={planWords.drawingWindow} tabIndex={0}>
        <div className="rod-scene" style={{ width: 2 * room.side + length * perMm, height }}>
          <PlanRodPicture
            shapes={shapes}
            plan={plan}
            lengths={lengths}
            scale={{ x, axis, perMm, width: 2 * room.side + length * perMm, height }}
          />
          <PlanRodHandles x={x} perMm={perMm} />
        </div>
      </div>
      <div className="rod-tools">
        <p className="hint">
          {planWords.drawingHelp}
          {shapes.places.some(({ meant }) => meant) && ` ${planWords.drawingNoFoot}`}
          {shapes.fittings.some(({ kind }) => kind !== 'joint') && ` ${planWords.drawingFittings}`}
        </p>
        {button(planWords.drawingCloser, '+', 1)}
        {button(planWords.drawingFarther, '−', -1)}
      </div>
      <PlanRodLoaded />
    </section>
  );
}

/** Brings a place that was typed, or moved by keys, into what shows of the drawing. */
function useChangedInView(window_: RefObject<HTMLElement | null>, x: (at: number) => number): void {
  const { positions } = useBuild().history.present.plan;
  const before = useRef(positions);
  useEffect(() => {
    const was = new Map(before.current.map(({ id, at }) => [id, at]));
    before.current = positions;
    const changed = positions.filter(({ id, at }) => was.get(id) !== at);
    const element = window_.current;
    // under a finger nothing scrolls away
    if (changed.length !== 1 || !element || element.querySelector('.rod-handle:active')) return;
    const place = x(changed[0]!.at);
    const { scrollLeft, clientWidth } = element;
    if (place < scrollLeft + 30 || place > scrollLeft + clientWidth - 30)
      element.scrollTo({ left: place - clientWidth / 2 });
  }, [positions, window_, x]);
}
