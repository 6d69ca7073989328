/**
 * Whether the device has at least so many cores, and so much memory (GB) where it says how much there is: only some
 * browsers do.
 */
export function deviceHas(cores: number, memory: number): boolean {
  const device = globalThis.navigator as ({ deviceMemory?: number } & Navigator) | undefined;
  return device !== undefined && device.hardwareConcurrency >= cores && (device.deviceMemory ?? memory) >= memory;
}
