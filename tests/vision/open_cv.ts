import { loadOpenCv } from '../../src/vision/opencv.ts';

/**
 * OpenCV as the tests' referee, the one that this process holds already. `T` names the calls a test makes; the
 * package's own types promise more and less than the build has.
 */
export const openCv = async <T extends object>(): Promise<{ cv: T }> => (await loadOpenCv()) as unknown as { cv: T };
