/**
 * OpenCV as the tests' referee, boxed: the bare module may be thenable, and awaiting it would then never end. `T` names
 * the calls a test makes; the package's own types promise more and less than the build has.
 */
export async function openCv<T extends object>(): Promise<{ cv: T }> {
  const imported = (await import('@techstark/opencv-js')) as { default?: unknown };
  const module = (imported.default ?? imported) as T & { Mat?: unknown; onRuntimeInitialized?: () => void };
  return new Promise((resolve, reject) => {
    const ready = (cv: T) => resolve({ cv });
    if (module instanceof Promise) (module as Promise<T>).then(ready, reject);
    else if (module.Mat) ready(module);
    else module.onRuntimeInitialized = () => ready(module);
  });
}
