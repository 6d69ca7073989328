import { type Listen, listenTo } from '../kit/listen.ts';
import type { Pixel } from '../../geometry/vector.ts';

/**
 * What fingers, a mouse and its wheel ask for on a photo; places are CSS pixels from the surface's left upper corner.
 */
export interface HandGestures {
  /** the nearest point within reach of a place, by its number */
  pointAt: (at: Pixel) => number | undefined;
  onTap: (at: Pixel, point: number | undefined) => void;
  /** a point is taken hold of */
  onGrab: (point: number) => void;
  /** a held point is moved by CSS pixels since it was taken hold of; `at` is where the finger is */
  onDrag: (point: number, by: Pixel, at: Pixel) => void;
  /** a held point is let go; `back` when it turned out to be the first finger of a pinch */
  onRelease: (point: number, back: boolean) => void;
  onPan: (by: Pixel) => void;
  /** above 1 is closer */
  onZoom: (factor: number, at: Pixel) => void;
  /** a key on the surface or on the point that has the focus; true when it did something */
  onKey: (event: KeyboardEvent) => boolean;
}

/** CSS pixels a press may wander and still be a tap: fingers roll, mice hardly. */
const slop = { mouse: 4, pen: 6, touch: 10 };
const slopOf = (type: string): number => (type === 'mouse' || type === 'pen' ? slop[type] : slop.touch);

type Press =
  | { kind: 'none' }
  /** down and not yet moved */
  | { kind: 'tap'; from: Pixel; point: number | undefined }
  | { kind: 'pan' }
  | { kind: 'drag'; from: Pixel; point: number }
  /** two fingers were down: nothing is set until all are up again */
  | { kind: 'pinch' };

/**
 * Lets a surface be tapped, its points dragged, itself panned by one finger and zoomed by two or by the wheel. Returns
 * a function that lets go of the element.
 */
export function followHandGestures(element: HTMLElement, gestures: () => HandGestures): () => void {
  const { on, letGo } = listenTo(element);
  const placeOf = (event: MouseEvent): Pixel => {
    const { left, top } = element.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  };
  on(
    'wheel',
    (event) => {
      event.preventDefault();
      const pixels = event.deltaY * (event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 16 : 1);
      // a trackpad's pinch comes as small steps with ctrlKey set
      gestures().onZoom(Math.exp(-pixels / (event.ctrlKey ? 100 : 400)), placeOf(event));
    },
    { passive: false },
  );
  on('pointerdown', (event) => {
    if (event.button === 0) element.setPointerCapture(event.pointerId);
  });
  followFingers(on, gestures, placeOf);
  on('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (gestures().onKey(event)) event.preventDefault();
  });
  return letGo;
}

/** Taps, drags, pans and pinches out of the fingers that come down, move and go up. */
function followFingers(on: Listen, gestures: () => HandGestures, placeOf: (event: PointerEvent) => Pixel): void {
  const fingers = new Map<number, Pixel>();
  let press: Press = { kind: 'none' };

  on('pointerdown', (event) => {
    if (event.button !== 0) return;
    const at = placeOf(event);
    fingers.set(event.pointerId, at);
    if (fingers.size === 1) press = { kind: 'tap', from: at, point: gestures().pointAt(at) };
    else {
      if (press.kind === 'drag') gestures().onRelease(press.point, true);
      press = { kind: 'pinch' };
    }
  });

  on('pointermove', (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const at = placeOf(event);
    if (press.kind === 'tap') {
      if (Math.hypot(at[0] - press.from[0], at[1] - press.from[1]) < slopOf(event.pointerType)) return;
      if (press.point === undefined) press = { kind: 'pan' };
      else {
        press = { kind: 'drag', from: press.from, point: press.point };
        gestures().onGrab(press.point);
      }
    }
    const [other] = [...fingers].filter(([id]) => id !== event.pointerId).map(([, place]) => place);
    fingers.set(event.pointerId, at);
    if (press.kind === 'pan') gestures().onPan([at[0] - before[0], at[1] - before[1]]);
    else if (press.kind === 'drag') gestures().onDrag(press.point, [at[0] - press.from[0], at[1] - press.from[1]], at);
    else if (press.kind === 'pinch' && other) pinch(gestures(), before, at, other);
  });

  const up = (event: PointerEvent, cancelled: boolean) => {
    if (!fingers.delete(event.pointerId)) return;
    if (press.kind === 'drag') gestures().onRelease(press.point, cancelled);
    else if (press.kind === 'tap' && !cancelled) gestures().onTap(press.from, press.point);
    if (press.kind !== 'pinch' || fingers.size === 0) press = { kind: 'none' };
  };
  on('pointerup', (event) => up(event, false));
  on('pointercancel', (event) => up(event, true));
}

/** One of two fingers moved: their middle carries the photo along, their distance zooms it. */
function pinch({ onPan, onZoom }: HandGestures, before: Pixel, at: Pixel, other: Pixel): void {
  const middle = (a: Pixel): Pixel => [(a[0] + other[0]) / 2, (a[1] + other[1]) / 2];
  const apart = (a: Pixel) => Math.hypot(a[0] - other[0], a[1] - other[1]);
  const [was, is] = [middle(before), middle(at)];
  onPan([is[0] - was[0], is[1] - was[1]]);
  if (apart(before) > 8 && apart(at) > 8) onZoom(apart(at) / apart(before), is);
}
