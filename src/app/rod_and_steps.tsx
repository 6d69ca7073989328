import { type RefObject, useEffect, useLayoutEffect, useRef, useState } from 'react';
import { useBuild } from './session/app_context.tsx';
import { hashOf, type Place, type Step, steps } from './route/place.ts';
import { PlaceLink } from './route/place_link.tsx';
import { Ribbon } from './ribbon/ribbon.tsx';
import { RibbonStrip } from './ribbon/ribbon_strip.tsx';
import type { StepState } from './session/step_needs.ts';
import { appWords } from './words/app_words.ts';
import { frameWords } from './words/frame_words.ts';

/**
 * The rod and the steps above every screen of a build. On a phone, once scrolled past, they fold to a strip of the rod
 * with the step's name; a tap on it lays them over the page, until a place or a step is chosen or the page is touched
 * again.
 */
export function RodAndSteps({
  place,
  needs,
}: {
  place: Extract<Place, { screen: 'build' }>;
  needs: Record<Step, StepState>;
}) {
  const { kept } = useBuild();
  const room = useRef<HTMLDivElement>(null);
  const strip = useRef<HTMLButtonElement>(null);
  const passed = usePassed(room);
  // what is laid over the page leaves its room in it: that room's height, px, while it is
  const [laid, lay] = useState<number>();
  const open = laid !== undefined && passed;
  const here = hashOf(place);
  const [was, setWas] = useState(here);
  if (was !== here) {
    setWas(here);
    lay(undefined);
  }
  useStartOfStep(place.step, room, strip);
  useAway(open, room, strip, lay);

  return (
    <div
      ref={room}
      className={`rod-and-steps${passed ? ' passed' : ''}${open ? ' over' : ''}`}
      style={open ? { minHeight: laid } : undefined}
    >
      <button
        ref={strip}
        type="button"
        className="strip"
        aria-expanded={open}
        aria-controls="rod-and-steps"
        onClick={() => lay(open ? undefined : room.current?.offsetHeight)}
      >
        <span className="strip-step">{appWords.steps[place.step]}</span>
        <RibbonStrip step={place.step} />
        <span className="spoken">{frameWords.strip}</span>
      </button>
      <div id="rod-and-steps" className="rod-and-steps-body">
        <Ribbon place={place} />
        <nav className="steps" aria-label={frameWords.stepsLabel}>
          <ol>
            {steps.map((step) => (
              <li key={step} className={`step step-${needs[step].state}`}>
                <PlaceLink place={{ screen: 'build', id: kept.id, step }} current={step === place.step}>
                  <span className="step-name">{appWords.steps[step]}</span>
                  <span className="step-needs">{needs[step].needs}</span>
                </PlaceLink>
              </li>
            ))}
          </ol>
        </nav>
      </div>
    </div>
  );
}

/** Whether an element has been scrolled past upward, all but a strip's height of it. */
function usePassed(element: RefObject<HTMLElement | null>): boolean {
  const [passed, setPassed] = useState(false);
  useEffect(() => {
    if (!element.current) return;
    const observer = new IntersectionObserver(
      ([entry]) => setPassed(entry !== undefined && !entry.isIntersecting && entry.boundingClientRect.top < 0),
      { rootMargin: '-48px 0px 0px' },
    );
    observer.observe(element.current);
    return () => observer.disconnect();
  }, [element]);
  return passed;
}

/** A step that is gone to from far down another begins at its beginning: under the strip where there is one. */
function useStartOfStep(step: Step, room: RefObject<HTMLElement | null>, strip: RefObject<HTMLElement | null>): void {
  const seen = useRef(step);
  useLayoutEffect(() => {
    if (seen.current === step || !room.current) return;
    seen.current = step;
    const end = room.current.getBoundingClientRect().bottom + window.scrollY;
    if (window.scrollY < end) return;
    const height = strip.current?.offsetHeight ?? 0;
    window.scrollTo(0, height > 0 ? end - height + 1 : 0);
  }, [step, room, strip]);
}

/** What lies over the page goes when the page beside it is touched or gets the focus, or by Escape. */
function useAway(
  open: boolean,
  room: RefObject<HTMLElement | null>,
  strip: RefObject<HTMLElement | null>,
  lay: (height: undefined) => void,
): void {
  useEffect(() => {
    if (!open) return;
    const stop = new AbortController();
    const outside = (event: Event) => {
      if (event.target instanceof Node && !room.current?.contains(event.target)) lay(undefined);
    };
    document.addEventListener('pointerdown', outside, { signal: stop.signal });
    document.addEventListener('focusin', outside, { signal: stop.signal });
    document.addEventListener(
      'keydown',
      (event) => {
        if (event.key !== 'Escape') return;
        lay(undefined);
        strip.current?.focus();
      },
      { signal: stop.signal },
    );
    return () => stop.abort();
  }, [open, room, strip, lay]);
}
