/** Hears an event of an element. */
export type Listen = <K extends keyof HTMLElementEventMap>(
  type: K,
  listener: (event: HTMLElementEventMap[K]) => void,
  options?: AddEventListenerOptions,
) => void;

/** Listens on an element until it is let go. */
export function listenTo(element: HTMLElement): { on: Listen; letGo: () => void } {
  const stop = new AbortController();
  return {
    on: (type, listener, options = {}) => element.addEventListener(type, listener, { ...options, signal: stop.signal }),
    letGo: () => stop.abort(),
  };
}
