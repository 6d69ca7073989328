import { useCallback, useState } from 'react';

/** An element's width in px, followed as it changes, and the ref that names the element. */
export function useWidth<T extends HTMLElement>(
  first: number,
): [number, (element: T | null) => (() => void) | undefined] {
  const [width, setWidth] = useState(first);
  const follow = useCallback((element: T | null) => {
    if (!element) return;
    const observer = new ResizeObserver(() => setWidth(element.clientWidth));
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [width, follow];
}
