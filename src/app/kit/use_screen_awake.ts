import { useEffect, useState } from 'react';

/**
 * Keeps the screen on while the component stands on the page (Screen Wake Lock API), again after the page was hidden.
 * True while it is kept on; false where the browser has no such lock or refuses it.
 */
export function useScreenAwake(): boolean {
  const [awake, setAwake] = useState(false);
  useEffect(() => {
    let lock: WakeLockSentinel | undefined;
    let left = false;
    const ask = async () => {
      // absent over plain http and in older browsers, whatever the types say
      const { wakeLock } = navigator as { wakeLock?: WakeLock };
      if (!wakeLock || document.visibilityState !== 'visible') return;
      try {
        const granted = await wakeLock.request('screen');
        if (left) {
          await granted.release();
          return;
        }
        lock = granted;
        granted.addEventListener('release', () => setAwake(false));
        setAwake(true);
      } catch {
        // refused, for a low battery for one: it is said that the screen may go dark
        setAwake(false);
      }
    };
    const again = () => void ask();
    document.addEventListener('visibilitychange', again);
    void ask();
    return () => {
      left = true;
      document.removeEventListener('visibilitychange', again);
      void lock?.release();
    };
  }, []);
  return awake;
}
