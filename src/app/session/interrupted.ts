const key = 'prewrap.check-running';

/** Notes that a check of this build runs in this tab; the returned function takes the note away again. */
export function markRunning(buildId: string): () => void {
  sessionStorage.setItem(key, buildId);
  return () => sessionStorage.removeItem(key);
}

/** The build whose check was cut short by the page's end, told once. */
export function takeInterrupted(): string | undefined {
  const buildId = sessionStorage.getItem(key) ?? undefined;
  sessionStorage.removeItem(key);
  return buildId;
}
