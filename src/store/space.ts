/** What the browser promises about keeping things. */
export interface StorageState {
  /** true when it promised not to clear this site on its own */
  persistent: boolean;
  /** bytes, where the browser tells */
  used?: number;
  room?: number;
}

export async function storageState(): Promise<StorageState> {
  if (!navigator.storage) return { persistent: false };
  const persistent = (await navigator.storage.persisted?.()) ?? false;
  const estimate = await navigator.storage.estimate?.();
  return {
    persistent,
    ...(estimate?.usage === undefined ? {} : { used: estimate.usage }),
    ...(estimate?.quota === undefined ? {} : { room: estimate.quota }),
  };
}

/** Asks the browser to keep this site's data until the builder throws it away. */
export const askToPersist = async (): Promise<boolean> => (await navigator.storage?.persist?.()) ?? false;

/** Whether an error says that there was no room left (IndexedDB's QuotaExceededError). */
export const isOutOfSpace = (error: unknown): boolean =>
  error instanceof Error && (error.name === 'QuotaExceededError' || /quota/i.test(error.message));
