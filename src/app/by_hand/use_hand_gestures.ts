import { type RefObject, useEffect, useLayoutEffect, useRef, useState } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import { followHandGestures, type HandGestures } from './hand_gestures.ts';
import { type HandView, insideOf, pannedBy, type Size, toPhoto, toWindow, zoomedAt } from './hand_view.ts';

/** CSS pixels within which a finger takes hold of a point. */
const reach = 20;
/** What an arrow key moves: a point, photo pixels; the photo, CSS pixels. */
const fineStep = 0.25;
const coarseStep = 2;
const panStep = 60;
/** What plus and minus zoom by. */
const keyZoom = 1.5;

const arrows: Record<string, Pixel> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** A photo in its window with the points set in it, and what can be done to them. */
export interface HandSurface {
  /** of the upright photo; nothing can be set before it is known */
  size: Size | undefined;
  window: Size;
  view: HandView;
  points: readonly Pixel[];
  selected: number | undefined;
  onView: (change: (view: HandView) => HandView) => void;
  onHome: () => void;
  onAdd: (at: Pixel) => void;
  onMove: (point: number, to: Pixel) => void;
  onRemove: (point: number) => void;
  onSelect: (point: number | undefined) => void;
}

/** The point being held or moved by keys. */
interface Hold {
  /** where the finger is; undefined when it holds nothing */
  finger: Pixel | undefined;
  /** the chosen point was last moved by keys */
  nudged: boolean;
}

/** How a hold is taken, moved and let go. */
interface Grip {
  /** where the held point was when it was taken hold of */
  from: RefObject<Pixel | undefined>;
  setFinger: (finger: Pixel | undefined) => void;
  setNudged: (nudged: boolean) => void;
}

/** Lets fingers, mouse, wheel and keys work on a surface; answers what a loupe needs to know. */
export function useHandGestures(element: RefObject<HTMLElement | null>, surface: HandSurface): Hold {
  const latest = useRef<HandGestures>(undefined);
  const from = useRef<Pixel>(undefined);
  const [finger, setFinger] = useState<Pixel>();
  const [nudged, setNudged] = useState(false);
  const grip: Grip = { from, setFinger, setNudged };
  useLayoutEffect(() => {
    latest.current = gesturesOn(surface, element, grip);
  });
  useEffect(
    () => (element.current ? followHandGestures(element.current, () => latest.current!) : undefined),
    [element],
  );
  return { finger, nudged };
}

const gesturesOn = (surface: HandSurface, element: RefObject<HTMLElement | null>, grip: Grip): HandGestures => ({
  ...viewGestures(surface),
  ...pointGestures(surface, grip),
  onTap: (place, point) => {
    grip.setNudged(false);
    tap(surface, place, point);
  },
  onKey: (event) => {
    const point = event.target === element.current ? undefined : surface.selected;
    if (point !== undefined && arrows[event.key]) grip.setNudged(true);
    return pressKey(surface, event, point);
  },
});

/** Before the photo's size is known there is one pixel to stay within. */
const photoOf = ({ size }: HandSurface): Size => size ?? { width: 1, height: 1 };

function viewGestures(surface: HandSurface): Pick<HandGestures, 'onPan' | 'onZoom'> {
  const { window, onView } = surface;
  const photo = photoOf(surface);
  return {
    onPan: (by) => onView((before) => pannedBy(before, by, window, photo)),
    onZoom: (factor, place) => onView((before) => zoomedAt(before, factor, place, window, photo)),
  };
}

function pointGestures(
  surface: HandSurface,
  { from, setFinger }: Grip,
): Pick<HandGestures, 'pointAt' | 'onGrab' | 'onDrag' | 'onRelease'> {
  const { window, view, points, onMove, onSelect } = surface;
  return {
    pointAt: (place) => {
      const far = points.map((point) => {
        const [x, y] = toWindow(view, window, point);
        return Math.hypot(x - place[0], y - place[1]);
      });
      const nearest = far.indexOf(Math.min(...far));
      return nearest >= 0 && far[nearest]! <= reach ? nearest : undefined;
    },
    onGrab: (point) => {
      from.current = points[point];
      onSelect(point);
    },
    onDrag: (point, [dx, dy], place) => {
      if (!from.current) return;
      setFinger(place);
      const [x, y] = from.current;
      onMove(point, insideOf(photoOf(surface), [x + dx / view.scale, y + dy / view.scale]));
    },
    onRelease: (point, back) => {
      if (back && from.current) onMove(point, from.current);
      from.current = undefined;
      setFinger(undefined);
    },
  };
}

/** A tap chooses the point under it, or sets one where the photo is. */
function tap(surface: HandSurface, place: Pixel, point: number | undefined): void {
  const { size, view, window, onAdd, onSelect } = surface;
  if (point !== undefined) return onSelect(point);
  const pixel = toPhoto(view, window, place);
  const inside = insideOf(photoOf(surface), pixel);
  if (size && Math.hypot(inside[0] - pixel[0], inside[1] - pixel[1]) === 0) onAdd(pixel);
}

/** A key on the surface, or on the point that has the focus; true when it did something. */
function pressKey(surface: HandSurface, { key, shiftKey }: KeyboardEvent, point: number | undefined): boolean {
  const { size, window, view, points, selected, onHome, onAdd, onMove, onRemove } = surface;
  const { onPan, onZoom } = viewGestures(surface);
  const chosen = selected === undefined ? undefined : points[selected];
  const zoomPlace: Pixel = chosen ? toWindow(view, window, chosen) : [window.width / 2, window.height / 2];
  const arrow = arrows[key];
  if (arrow && point !== undefined) {
    const [x, y] = points[point]!;
    const by = shiftKey ? coarseStep : fineStep;
    onMove(point, insideOf(photoOf(surface), [x + arrow[0] * by, y + arrow[1] * by]));
  } else if (arrow) onPan([-arrow[0] * panStep, -arrow[1] * panStep]);
  else if (key === '+' || key === '=') onZoom(keyZoom, zoomPlace);
  else if (key === '-') onZoom(1 / keyZoom, zoomPlace);
  else if (key === '0') onHome();
  else if (point !== undefined && (key === 'Delete' || key === 'Backspace')) onRemove(point);
  else if (point === undefined && (key === 'Enter' || key === ' ') && size) onAdd(view.centre);
  else return false;
  return true;
}
