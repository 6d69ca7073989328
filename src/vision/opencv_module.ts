import module from '@techstark/opencv-js';

/**
 * OpenCV's module object in a box: it has a `then` of its own, and a bundler that merges it into an import's namespace
 * makes that import never end. Imported only through `import()`, so it comes when it is first needed.
 */
export const box: { module: unknown } = { module };
