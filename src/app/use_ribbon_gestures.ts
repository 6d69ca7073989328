import { type PointerEvent, type RefObject, useEffect, useRef } from 'react';
import { panned, type RibbonView, zoomed } from './ribbon_view.ts';

/** A finger or mouse that moved less than this (px) has tapped. */
const tapSlop = 6;

/**
 * Dragging pans, two fingers or a pinch on the pad zoom, a sideways wheel pans; up and down is left to the page. Returns
 * the surface's handlers; `onTap` gets the place tapped (mm).
 */
export function useRibbonGestures(
  surface: RefObject<HTMLElement | null>,
  view: RibbonView,
  limits: RibbonView,
  onView: (view: RibbonView) => void,
  onTap: (mm: number) => void,
) {
  const pointers = useRef(new Map<number, number>());
  const dragged = useRef(false);
  const now = useRef({ view, limits, onView });
  now.current = { view, limits, onView };

  const left = () => surface.current?.getBoundingClientRect().left ?? 0;
  const mmPerPx = () => (view.to - view.from) / Math.max(surface.current?.clientWidth ?? 1, 1);
  const placeAt = (clientX: number) => view.from + (clientX - left()) * mmPerPx();

  useEffect(() => {
    const element = surface.current;
    if (!element) return;
    const wheel = (event: WheelEvent) => {
      const { view: seen, limits: all, onView: show } = now.current;
      const scale = (seen.to - seen.from) / element.clientWidth;
      const at = seen.from + (event.clientX - element.getBoundingClientRect().left) * scale;
      if (event.ctrlKey) show(zoomed(seen, Math.exp(-event.deltaY / 100), at, all));
      else if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) show(panned(seen, event.deltaX * scale, all));
      else return;
      event.preventDefault();
    };
    element.addEventListener('wheel', wheel, { passive: false });
    return () => element.removeEventListener('wheel', wheel);
  }, [surface]);

  const released = (event: PointerEvent) => {
    pointers.current.delete(event.pointerId);
  };
  return {
    onPointerDown: (event: PointerEvent) => {
      if (event.button !== 0) return;
      if (pointers.current.size === 0) dragged.current = false;
      pointers.current.set(event.pointerId, event.clientX);
    },
    onPointerMove: (event: PointerEvent) => {
      const before = pointers.current.get(event.pointerId);
      if (before === undefined) return;
      if (!dragged.current && pointers.current.size === 1 && Math.abs(event.clientX - before) < tapSlop) return;
      if (!dragged.current) surface.current?.setPointerCapture(event.pointerId);
      dragged.current = true;
      const other = [...pointers.current].find(([id]) => id !== event.pointerId)?.[1];
      pointers.current.set(event.pointerId, event.clientX);
      if (other === undefined) return onView(panned(view, (before - event.clientX) * mmPerPx(), limits));
      const [was, is] = [Math.abs(before - other), Math.abs(event.clientX - other)];
      if (was > 8 && is > 8) onView(zoomed(view, is / was, placeAt((event.clientX + other) / 2), limits));
    },
    onPointerUp: released,
    onPointerCancel: released,
    /** a drag that ends over a link must not follow it */
    onClickCapture: (event: React.MouseEvent) => {
      if (!dragged.current) return;
      event.preventDefault();
      event.stopPropagation();
    },
    onClick: (event: React.MouseEvent) => {
      if (event.target instanceof Element && event.target.closest('a')) return;
      onTap(placeAt(event.clientX));
    },
  };
}
