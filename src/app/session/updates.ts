/**
 * Registers the service worker and tells when a newer one waits. In development there is none. Returns a function that
 * stops listening.
 */
export function watchForUpdates(onReady: () => void): () => void {
  if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return () => {};
  let stopped = false;
  const ready = () => {
    if (!stopped && navigator.serviceWorker.controller) onReady();
  };
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
  };
}

/** Lets the waiting version take over, then loads the page afresh. */
export async function loadUpdate(): Promise<void> {
  const registration = await navigator.serviceWorker.getRegistration();
  if (!registration?.waiting) return window.location.reload();
  navigator.serviceWorker.addEventListener('controllerchange', () => window.location.reload(), { once: true });
  registration.waiting.postMessage('take-over');
}
