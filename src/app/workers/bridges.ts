import { type CheckTasks, checkReplies } from './check_tasks.ts';
import { type DeskTasks, deskReplies } from './desk_tasks.ts';
import { deviceHas } from './device_room.ts';
import { sweepLanes } from './lanes_file.ts';
import { whyNotHere } from './missing_part.ts';
import { type TagTasks, tagReplies } from './tag_tasks.ts';
import { WorkerBridge } from './worker_bridge.ts';

/** Settles when the lock is nobody's; there are no locks over plain http. */
const locks = globalThis.navigator?.locks as LockManager | undefined;
const lockFree = locks && {
  lockFree: async (name: string, signal: AbortSignal): Promise<void> => locks.request(name, { signal }, () => {}),
};
const inThisPage = { whyNotHere: () => whyNotHere(document.baseURI), ...lockFree };

/** The page's ways to its workers: the check; layouts and zips; tags while photos come in. */
export const checkBridge = new WorkerBridge<CheckTasks>({
  make: () => new Worker(new URL('./check.worker.ts', import.meta.url), { type: 'module' }),
  replies: checkReplies,
  // the browser lets go of a worker's files a moment after it has ended
  onEnd: () => setTimeout(() => void sweepLanes(), 1000),
  ...inThisPage,
});
export const deskBridge = new WorkerBridge<DeskTasks>({
  make: () => new Worker(new URL('./desk.worker.ts', import.meta.url), { type: 'module' }),
  replies: deskReplies,
  ...inThisPage,
});
const makeTagBridge = () =>
  new WorkerBridge<TagTasks>({
    make: () => new Worker(new URL('./tags.worker.ts', import.meta.url), { type: 'module' }),
    replies: tagReplies,
    ...inThisPage,
  });
export const tagBridge = makeTagBridge();
/**
 * Who looks at photos that come in: two at once where there are cores for both beside the check's, and memory for
 * OpenCV twice. What the camera sees the first looks at alone.
 */
export const photoBridges = deviceHas(4, 4) ? [tagBridge, makeTagBridge()] : [tagBridge];
