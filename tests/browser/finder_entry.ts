export { loadFinder } from '../../src/vision/finder/finder.ts';
export { stripPeaks } from '../../src/vision/finder/peaks.ts';
