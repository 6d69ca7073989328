import { openCvFromDisk } from '../../src/vision/opencv_from_disk.ts';
import { startOpenCv } from '../../src/vision/opencv_parts.ts';

let started: Promise<{ cv: object }> | undefined;

/**
 * OpenCV as the tests' referee, whole, one a process. `T` names the calls a test makes; the package's own types promise
 * more and less than the build has.
 */
export async function openCv<T extends object>(): Promise<{ cv: T }> {
  started ??= (async () => startOpenCv<object>((await openCvFromDisk())!))();
  return (await started) as { cv: T };
}
