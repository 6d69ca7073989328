/** Ways out of a worker that nothing here uses. */
const waysOut = [
  'XMLHttpRequest',
  'WebSocket',
  'WebSocketStream',
  'EventSource',
  'WebTransport',
  'importScripts',
  'Worker',
];

/**
 * Takes from this worker the ways to other servers, before it does anything. The policy in the headers says the same,
 * and also that only the workers that hold OpenCV may run text as code; not every host sends headers.
 */
export function lockDown(): void {
  const own = self as unknown as Record<string, unknown>;
  for (const name of waysOut) own[name] = undefined;
  const ask = self.fetch.bind(self);
  self.fetch = async (input, init) => {
    const url = new URL(input instanceof Request ? input.url : input, self.location.href);
    if (url.protocol === 'data:' || url.protocol === 'blob:') return ask(input, init);
    if (url.origin !== self.location.origin) throw new TypeError('a worker asks no other server');
    // nor is it led to one
    return ask(input, { ...init, mode: 'same-origin' });
  };
}
