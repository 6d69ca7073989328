/** Set while this tab itself loads the newer version. */
let loading = false;

/**
 * Registers the service worker and tells when a newer version waits, or another tab has loaded it: then parts of this
 * page's version may be gone. In development there is none. Returns a function that stops listening.
 */
export function watchForUpdates(onUpdate: (update: 'ready' | 'taken') => void): () => void {
  if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return () => {};
  let stopped = false;
  const ready = () => {
    if (!stopped && navigator.serviceWorker.controller) onUpdate('ready');
  };
  // the first worker of all takes the page over as well, and is no update
  let controlled = navigator.serviceWorker.controller !== null;
  const taken = () => {
    if (controlled && !loading) onUpdate('taken');
    controlled = true;
  };
  navigator.serviceWorker.addEventListener('controllerchange', taken);
  navigator.serviceWorker
    .register(new URL('service_worker.js', document.baseURI), { updateViaCache: 'none' })
    .then((registration) => {
      if (registration.waiting) ready();
      registration.addEventListener('updatefound', () => {
        const arriving = registration.installing;
        arriving?.addEventListener('statechange', () => {
          if (arriving.state === 'installed') ready();
        });
      });
    })
    // over plain http on a local network there is no service worker: the app works, only not offline
    .catch(() => {});
  return () => {
    stopped = true;
    navigator.serviceWorker.removeEventListener('controllerchange', taken);
  };
}

/** How long the newer version may take to take over before it is said that it does not, ms. */
const takeOverTime = 10_000;

/**
 * Lets the waiting version take over, then loads the page afresh. Settles only where the page is still here after ten
 * seconds: another tab's worker holds on, or the builder chose to stay.
 */
export async function loadUpdate(): Promise<void> {
  loading = true;
  const registration = await navigator.serviceWorker.getRegistration();
  if (registration?.waiting) {
    navigator.serviceWorker.addEventListener('controllerchange', () => window.location.reload(), { once: true });
    registration.active?.postMessage('let-go');
    registration.waiting.postMessage('take-over');
  } else window.location.reload();
  await new Promise((resolve) => setTimeout(resolve, takeOverTime));
}
