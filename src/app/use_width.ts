import { type RefObject, useLayoutEffect, useState } from 'react';

/** An element's width in px, followed as it changes. */
export function useWidth(element: RefObject<HTMLElement | null>, first: number): number {
  const [width, setWidth] = useState(first);
  useLayoutEffect(() => {
    const watched = element.current;
    if (!watched) return;
    setWidth(watched.clientWidth);
    const observer = new ResizeObserver(() => setWidth(watched.clientWidth));
    observer.observe(watched);
    return () => observer.disconnect();
  }, [element]);
  return width;
}
