import { type Listen, listenTo } from '../kit/listen.ts';
import { panned, type RibbonView, within, zoomed } from './ribbon_view.ts';

/** A finger or mouse that moved less than this (px) has tapped. */
const tapSlop = 6;
/** A tap this near an item (px) means it. */
const tapReach = 40;

type Change = (view: RibbonView) => RibbonView;

/** What can be done to the view, places in CSS pixels of the window. */
interface ViewMoves {
  panBy: (px: number) => void;
  zoomAt: (factor: number, clientX: number) => void;
  whole: () => void;
}

/**
 * Moves the view by what happens on the ribbon: dragging and a sideways wheel pan, two fingers or a pinch on the pad
 * zoom (up and down is left to the page), a tap takes the nearest item; on a focused item the arrow keys go to the next
 * one, with Shift they pan, plus, minus and zero zoom. Returns a function that lets go of the element.
 */
export function followGestures(element: HTMLElement, limits: RibbonView, change: (change: Change) => void): () => void {
  const { on, letGo } = listenTo(element);
  const moves = viewMoves(element, limits, change);
  on(
    'wheel',
    (event) => {
      if (event.ctrlKey) moves.zoomAt(Math.exp(-event.deltaY / 100), event.clientX);
      else if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) moves.panBy(event.deltaX);
      else return;
      event.preventDefault();
    },
    { passive: false },
  );
  followFingers(element, on, moves);
  on('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (pressKey(element, moves, event)) event.preventDefault();
  });
  return letGo;
}

function viewMoves(element: HTMLElement, limits: RibbonView, change: (change: Change) => void): ViewMoves {
  const share = (clientX: number) => (clientX - element.getBoundingClientRect().left) / element.clientWidth;
  const placeAt = (view: RibbonView, clientX: number) => view.from + share(clientX) * (view.to - view.from);
  return {
    panBy: (px) => change((view) => panned(view, (px / element.clientWidth) * (view.to - view.from), limits)),
    zoomAt: (factor, clientX) => change((view) => zoomed(view, factor, placeAt(view, clientX), limits)),
    whole: () => change(() => within(limits, limits)),
  };
}

const itemsIn = (element: HTMLElement) => [...element.querySelectorAll('a')];

/** Pans by one finger, zooms by two; a press that did not wander is a tap. */
function followFingers(element: HTMLElement, on: Listen, { panBy, zoomAt }: ViewMoves): void {
  const pointers = new Map<number, number>();
  let dragged = false;
  on('pointerdown', (event) => {
    if (event.button !== 0) return;
    if (pointers.size === 0) dragged = false;
    pointers.set(event.pointerId, event.clientX);
  });
  on('pointermove', (event) => {
    const before = pointers.get(event.pointerId);
    if (before === undefined) return;
    if (!dragged && pointers.size === 1 && Math.abs(event.clientX - before) < tapSlop) return;
    if (!dragged) element.setPointerCapture(event.pointerId);
    dragged = true;
    const other = [...pointers].find(([id]) => id !== event.pointerId)?.[1];
    pointers.set(event.pointerId, event.clientX);
    if (other === undefined) return panBy(before - event.clientX);
    const [was, is] = [Math.abs(before - other), Math.abs(event.clientX - other)];
    if (was > 8 && is > 8) zoomAt(is / was, (event.clientX + other) / 2);
  });
  for (const type of ['pointerup', 'pointercancel'] as const) on(type, (event) => pointers.delete(event.pointerId));
  on(
    'click',
    (event) => {
      if (dragged) {
        // a drag that ends over an item must not open it
        event.preventDefault();
        event.stopPropagation();
      } else if (event.target instanceof Element && !event.target.closest('a'))
        nearest(element, event.clientX)?.click();
    },
    { capture: true },
  );
}

/** The item that a tap beside all of them means. */
function nearest(element: HTMLElement, clientX: number): HTMLElement | undefined {
  const far = (item: Element) => {
    const { left, right } = item.getBoundingClientRect();
    return Math.abs((left + right) / 2 - clientX);
  };
  const [item] = itemsIn(element).toSorted((a, b) => far(a) - far(b));
  return item && far(item) < tapReach ? item : undefined;
}

/** A key on the focused item; true when it did something. */
function pressKey(
  element: HTMLElement,
  { panBy, zoomAt, whole }: ViewMoves,
  { key, shiftKey }: KeyboardEvent,
): boolean {
  const at = document.activeElement?.getBoundingClientRect();
  const middle = at ? (at.left + at.right) / 2 : 0;
  const step = { ArrowLeft: -1, ArrowRight: 1 }[key];
  if (step !== undefined && shiftKey) panBy((step * element.clientWidth) / 8);
  else if (step !== undefined) {
    const all = itemsIn(element);
    all[all.findIndex((item) => item === document.activeElement) + step]?.focus();
  } else if (key === '+' || key === '=') zoomAt(1.6, middle);
  else if (key === '-') zoomAt(1 / 1.6, middle);
  else if (key === '0') whole();
  else return false;
  return true;
}
