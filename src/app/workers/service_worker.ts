const worker = self as unknown as ServiceWorkerGlobalScope;

/** Filled in by the build: the files of the shell, kept at once, and the late ones, kept on first use. */
const list: { shell: string[]; late: string[] } = JSON.parse('__BUILD_LIST__');
const shellCache = `prewrap-shell-${versionOf(list.shell)}`;
const lateCache = 'prewrap-late';
const atBase = (file: string) => new URL(file, worker.registration.scope).href;

/** A short name for a list of hashed file names: 32-bit FNV-1a. */
function versionOf(files: string[]): string {
  let hash = 0x811c9dc5;
  for (const char of files.join()) hash = Math.imul(hash ^ char.charCodeAt(0), 0x01000193) >>> 0;
  return hash.toString(36);
}

worker.addEventListener('install', (event) => {
  event.waitUntil(
    caches
      .open(shellCache)
      .then((cache) => cache.addAll(list.shell.map((file) => new Request(atBase(file), { cache: 'reload' })))),
  );
});

worker.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      const old = (await caches.keys()).filter((name) => name.startsWith('prewrap-shell-') && name !== shellCache);
      await Promise.all(old.map((name) => caches.delete(name)));
      const late = await caches.open(lateCache);
      const current = new Set(list.late.map(atBase));
      for (const request of await late.keys()) if (!current.has(request.url)) await late.delete(request);
      await worker.clients.claim();
    })(),
  );
});

/**
 * Aborts what is being fetched. Browsers let a newer worker take over only once this one has no fetch left to answer.
 */
let fetching = new AbortController();

worker.addEventListener('message', (event) => {
  if (event.data === 'take-over') event.waitUntil(worker.skipWaiting());
  if (event.data === 'let-go') {
    fetching.abort();
    fetching = new AbortController();
  }
});

worker.addEventListener('fetch', (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== 'GET' || url.origin !== worker.location.origin) return;
  if (event.request.mode === 'navigate') event.respondWith(fromShell(new Request(atBase('./'))));
  else if (list.late.some((file) => atBase(file) === url.href)) event.respondWith(keptOnUse(event));
  else event.respondWith(fromShell(event.request));
});

async function fromShell(request: Request): Promise<Response> {
  const cache = await caches.open(shellCache);
  return (await cache.match(request, { ignoreSearch: true })) ?? fetch(request, { signal: fetching.signal });
}

async function keptOnUse(event: FetchEvent): Promise<Response> {
  const cache = await caches.open(lateCache);
  const kept = await cache.match(event.request);
  if (kept) return kept;
  const { signal } = fetching;
  const response = await fetch(event.request, { signal });
  const letGo = new Promise<void>((resolve) => signal.addEventListener('abort', () => resolve()));
  // with no room to keep it, it still works now; next time it is fetched again
  if (response.ok) event.waitUntil(Promise.race([cache.put(event.request, response.clone()).catch(() => {}), letGo]));
  return response;
}
