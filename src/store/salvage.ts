import { withoutLocation } from '../photo/strip_location.ts';
import { encodeText } from './archive.ts';
import { packZip } from './zip.ts';

/** What is kept of a build whose record can't be read. */
export interface Salvage {
  build: unknown;
  checks: unknown[];
  photos: unknown[];
}

/**
 * A zip of whatever is there: the build's record and its checks as text, photos as files, freed of their location. It
 * does not open again as a build; the photos in it do, and a person can read the rest.
 */
export async function salvageBuild({ build, checks, photos }: Salvage): Promise<Blob> {
  const files = new Map<string, Uint8Array>([['record.json', asText(build)]]);
  for (const [k, check] of checks.entries()) files.set(`check-${k + 1}.json`, asText(check));
  for (const [k, photo] of photos.entries()) {
    const file = typeof photo === 'object' && photo !== null && 'file' in photo ? photo.file : undefined;
    const bytes = file instanceof Blob ? withoutLocation(new Uint8Array(await file.arrayBuffer())) : undefined;
    if (bytes) files.set(`photos/${k + 1}.${ending(bytes)}`, bytes);
  }
  return new Blob([packZip(files, new Date())], { type: 'application/zip' });
}

/** JSON has no word for files, for numbers that are none, or for a circle. */
function asText(value: unknown): Uint8Array {
  const above = new Set<unknown>();
  const plain = (part: unknown, depth: number): unknown => {
    if (part instanceof Blob) return `a file of ${part.size} bytes`;
    if (typeof part === 'number' && !Number.isFinite(part)) return String(part);
    if (typeof part === 'bigint') return String(part);
    if (typeof part !== 'object' || part === null) return part;
    if (above.has(part) || depth > 50) return 'cut short here';
    above.add(part);
    const copy = Array.isArray(part)
      ? part.map((entry) => plain(entry, depth + 1))
      : Object.fromEntries(Object.entries(part).map(([key, entry]) => [key, plain(entry, depth + 1)]));
    above.delete(part);
    return copy;
  };
  return encodeText(`${JSON.stringify(plain(value, 0) ?? null, null, 1)}\n`);
}

const ending = (bytes: Uint8Array): string => (bytes[0] === 0xff ? 'jpg' : bytes[0] === 0x89 ? 'png' : 'photo');
