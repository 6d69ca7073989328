const key = 'prewrap.check-running';

/**
 * Where storage of this page is blocked, even touching it throws; then a check cut short is not told, and all else
 * works.
 */
function storage(): Storage | undefined {
  try {
    return window.sessionStorage;
  } catch {
    return undefined;
  }
}

/** Notes that a check of this build runs in this tab; the returned function takes the note away again. */
export function markRunning(buildId: string): () => void {
  try {
    storage()?.setItem(key, buildId);
  } catch {
    // full: as where there is none
  }
  return () => storage()?.removeItem(key);
}

/** The build whose check was cut short by the page's end, told once. */
export function takeInterrupted(): string | undefined {
  const buildId = storage()?.getItem(key) ?? undefined;
  storage()?.removeItem(key);
  return buildId;
}
