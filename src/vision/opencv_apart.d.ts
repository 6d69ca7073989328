/** OpenCV taken apart by the build (`vite.config.ts`, `opencv_parts.ts`): nothing else than a bundler knows it. */
declare module 'virtual:opencv' {
  /** where the build serves the WebAssembly, and its bytes */
  export const wasmFile: string;
  export const wasmBytes: number;
  export const make: import('./opencv_parts.ts').OpenCvAtHand['make'];
}
