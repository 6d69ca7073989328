import type { Pixel } from '../geometry/vector.ts';
import { openCvFromDisk } from './opencv_from_disk.ts';
import { onlyNeeded } from './opencv_needed.ts';
import { startOpenCv } from './opencv_parts.ts';

/**
 * The one place that touches OpenCV and owns every `Mat`. OpenCV is used for what it is best at, finding and decoding
 * the tags; all measuring is our own.
 */

interface Owned {
  delete(): void;
}
interface Mat extends Owned {
  rows: number;
  data: Uint8Array;
  data32F: Float32Array;
  intAt(row: number, column: number): number;
}
interface MatVector extends Owned {
  get(index: number): Mat;
}
interface DetectorParameters extends Owned {
  adaptiveThreshWinSizeMin: number;
  adaptiveThreshWinSizeMax: number;
  adaptiveThreshWinSizeStep: number;
  minMarkerPerimeterRate: number;
}
interface ArucoDetector extends Owned {
  detectMarkers(image: Mat, corners: MatVector, ids: Mat, rejected: MatVector): void;
}
/** What this module calls of OpenCV; the package's own types leave the tag detector out though the build has it. */
interface OpenCv {
  Mat: { new (): Mat; new (rows: number, columns: number, type: number): Mat };
  MatVector: new () => MatVector;
  CV_8UC1: number;
  getPredefinedDictionary(which: number): Owned;
  aruco_DetectorParameters: new () => DetectorParameters;
  aruco_RefineParameters: new (distance: number, correction: number, allOrders: boolean) => Owned;
  aruco_ArucoDetector: new (dictionary: Owned, parameters: DetectorParameters, refine: Owned) => ArucoDetector;
  exceptionFromPtr(pointer: number): { msg: string };
}

/** A decoded tag as OpenCV saw it: corners in the tag's own order (top-left, top-right, bottom-right, bottom-left). */
export interface TagQuad {
  id: number;
  corners: readonly [Pixel, Pixel, Pixel, Pixel];
}

const dictionaryNames = {
  tag36h11: 'DICT_APRILTAG_36h11',
  tag25h9: 'DICT_APRILTAG_25h9',
  tag16h5: 'DICT_APRILTAG_16h5',
  aruco4x4: 'DICT_4X4_1000',
  aruco5x5: 'DICT_5X5_1000',
  aruco6x6: 'DICT_6X6_1000',
} as const;

/** What `OpenCv` says is called. */
const needed = {
  classes: [
    'Mat',
    'MatVector',
    'Algorithm',
    'aruco_Dictionary',
    'aruco_DetectorParameters',
    'aruco_RefineParameters',
    'aruco_ArucoDetector',
  ],
  functions: ['getPredefinedDictionary', 'exceptionFromPtr'],
  constants: ['CV_8UC1', ...Object.values(dictionaryNames)],
} as const;

// The module object has a `then` of its own, and awaiting it never ends: it always travels inside a box.
let loading: Promise<{ cv: OpenCv }> | undefined;

/**
 * Starts OpenCV, once, before it is needed; `onArrived` hears the share of its file that has come. What could not be
 * had now may come the next time. Throws TypeError where a browser can't fetch it.
 */
export async function loadOpenCv(onArrived: (share: number) => void = () => {}): Promise<{ cv: OpenCv }> {
  loading ??= start(onArrived).catch((error: unknown) => {
    loading = undefined;
    throw error;
  });
  return loading;
}

async function start(onArrived: (share: number) => void): Promise<{ cv: OpenCv }> {
  const atHand = openCvFromDisk() ?? (await import('./opencv_module.ts')).openCvOfBuild(onArrived);
  return startOpenCv<OpenCv>(await atHand, (imports) => onlyNeeded(imports, needed));
}

/** Runs `work` with a keeper; everything handed to the keeper is freed afterwards, whatever happens. */
function scoped<T>(cv: OpenCv, stage: string, work: (keep: <D extends Owned>(owned: D) => D) => T): T {
  const owned: Owned[] = [];
  try {
    return work((item) => {
      owned.push(item);
      return item;
    });
  } catch (error) {
    // OpenCV throws bare numbers: pointers to C++ exceptions.
    if (typeof error === 'number') {
      const message = cv.exceptionFromPtr(error).msg;
      throw new Error(`OpenCV failed while ${stage}: ${message}`);
    }
    throw error;
  } finally {
    for (const item of owned.reverse()) item.delete();
  }
}

export type TagFamily = keyof typeof dictionaryNames;

/** Sides of the threshold windows that are tried one after the other, pixels, six apart. */
export interface ThresholdWindows {
  smallest: number;
  largest: number;
}

/** One threshold window of about a third of a tag's side copes with window light; more windows only cost time. */
const usualWindows: ThresholdWindows = { smallest: 23, largest: 23 };
/** Windows that find tags of 17 to 60 pixels, whose white border may be narrow. */
export const smallWindows: ThresholdWindows = { smallest: 5, largest: 23 };
/** Where nothing is known of the tags' size. */
export const allWindows: ThresholdWindows = { smallest: 5, largest: 23 };

/** How OpenCV looks for tags, in its own terms; the rest stays at its defaults. */
const detection = {
  /** pixels from one threshold window to the next: fewer cost a pass each and find hardly more */
  windowStep: 6,
  /** least perimeter as a share of the photo's longer side: tags seen from far off are that small */
  leastPerimeter: 0.01,
  /** needed to make its detector, used only where boards are refined: here never */
  refine: { distance: 10, errorRate: 3, anyOrder: true },
} as const;

/**
 * Finds and decodes tags in a grey image (width x height, row by row). Corners are OpenCV's unrefined contour corners:
 * whole pixels, good to about a pixel, in its pixel convention (0, 0 = centre of the first pixel).
 */
export async function detectTagQuads(
  grey: Uint8Array,
  width: number,
  height: number,
  family: TagFamily = 'tag36h11',
  windows = usualWindows,
): Promise<TagQuad[]> {
  const { cv } = await loadOpenCv();
  return scoped(cv, 'looking for tags', (keep) => {
    const image = keep(new cv.Mat(height, width, cv.CV_8UC1));
    image.data.set(grey);
    const numbers = cv as unknown as Record<string, number>;
    const dictionary = keep(cv.getPredefinedDictionary(numbers[dictionaryNames[family]]!));
    const parameters = keep(new cv.aruco_DetectorParameters());
    parameters.adaptiveThreshWinSizeMin = windows.smallest;
    parameters.adaptiveThreshWinSizeMax = windows.largest;
    parameters.adaptiveThreshWinSizeStep = detection.windowStep;
    parameters.minMarkerPerimeterRate = detection.leastPerimeter;
    const { distance, errorRate, anyOrder } = detection.refine;
    const refine = keep(new cv.aruco_RefineParameters(distance, errorRate, anyOrder));
    const detector = keep(new cv.aruco_ArucoDetector(dictionary, parameters, refine));
    const corners = keep(new cv.MatVector());
    const rejected = keep(new cv.MatVector());
    const ids = keep(new cv.Mat());
    detector.detectMarkers(image, corners, ids, rejected);
    const found: TagQuad[] = [];
    for (let i = 0; i < ids.rows; i++) {
      const quad = keep(corners.get(i));
      const d = quad.data32F;
      found.push({
        id: ids.intAt(i, 0),
        corners: [
          [d[0]!, d[1]!],
          [d[2]!, d[3]!],
          [d[4]!, d[5]!],
          [d[6]!, d[7]!],
        ],
      });
    }
    return found;
  });
}
