const leaseName = 'prewrap-open';
/** A tab that froze while it held the lease alone must not keep others from starting, ms. */
const longestWait = 2000;

/**
 * Takes this tab's share of the lease that says "a tab is open", for as long as the page lives; where no other tab has
 * one, `alone` is done first. Over plain http browsers have no locks: then nobody knows whether others are open, and
 * `alone` is never done.
 */
export async function takeLease(alone: () => Promise<void>): Promise<void> {
  const locks = navigator.locks as LockManager | undefined;
  if (!locks) return;
  await locks.request(leaseName, { ifAvailable: true }, (lock) => (lock ? alone() : undefined));
  await new Promise<void>((resolve) => {
    setTimeout(resolve, longestWait);
    void locks.request(leaseName, { mode: 'shared' }, () => {
      resolve();
      return new Promise(() => {});
    });
  });
}
