import { panned, type RibbonView, within, zoomed } from './ribbon_view.ts';

/** A finger or mouse that moved less than this (px) has tapped. */
const tapSlop = 6;
/** A tap this near an item (px) means it. */
const tapReach = 40;

type Change = (view: RibbonView) => RibbonView;

/**
 * Moves the view by what happens on the ribbon: dragging and a sideways wheel pan, two fingers or a pinch on the pad
 * zoom (up and down is left to the page), a tap takes the nearest item; on a focused item the arrow keys go to the next
 * one, with Shift they pan, plus, minus and zero zoom. Returns a function that lets go of the element.
 */
export function followGestures(element: HTMLElement, limits: RibbonView, change: (change: Change) => void): () => void {
  const stop = new AbortController();
  const on = <K extends keyof HTMLElementEventMap>(
    type: K,
    listener: (event: HTMLElementEventMap[K]) => void,
    options: AddEventListenerOptions = {},
  ) => element.addEventListener(type, listener, { ...options, signal: stop.signal });
  const share = (clientX: number) => (clientX - element.getBoundingClientRect().left) / element.clientWidth;
  const placeAt = (view: RibbonView, clientX: number) => view.from + share(clientX) * (view.to - view.from);
  const panBy = (px: number) =>
    change((view) => panned(view, (px / element.clientWidth) * (view.to - view.from), limits));
  const zoomAt = (factor: number, clientX: number) =>
    change((view) => zoomed(view, factor, placeAt(view, clientX), limits));
  const items = () => [...element.querySelectorAll('a')];

  on(
    'wheel',
    (event) => {
      if (event.ctrlKey) zoomAt(Math.exp(-event.deltaY / 100), event.clientX);
      else if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) panBy(event.deltaX);
      else return;
      event.preventDefault();
    },
    { passive: false },
  );

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
      } else if (event.target instanceof Element && !event.target.closest('a')) {
        const far = (item: Element) => {
          const { left, right } = item.getBoundingClientRect();
          return Math.abs((left + right) / 2 - event.clientX);
        };
        const nearest = items().toSorted((a, b) => far(a) - far(b))[0];
        if (nearest && far(nearest) < tapReach) nearest.click();
      }
    },
    { capture: true },
  );

  on('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const at = document.activeElement?.getBoundingClientRect();
    const middle = at ? (at.left + at.right) / 2 : 0;
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (step !== undefined && event.shiftKey) panBy((step * element.clientWidth) / 8);
    else if (step !== undefined) {
      const all = items();
      all[all.findIndex((item) => item === document.activeElement) + step]?.focus();
    } else if (event.key === '+' || event.key === '=') zoomAt(1.6, middle);
    else if (event.key === '-') zoomAt(1 / 1.6, middle);
    else if (event.key === '0') change(() => within(limits, limits));
    else return;
    event.preventDefault();
  });

  return () => stop.abort();
}
