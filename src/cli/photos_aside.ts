import { closeSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { KeepHeld, Photo } from '../photo/photo.ts';

/** So much of the photos is held in memory, bytes: the lanes of some two dozen photos of 12 megapixels. */
const inMemory = 150e6;

type Planes = Pick<Photo, 'luma' | 'blueDifference' | 'redDifference'>;
const planeNames = ['luma', 'blueDifference', 'redDifference'] as const;

interface Held {
  /** in memory, unless they lie aside */
  planes: Planes | undefined;
  sizes: readonly number[];
  /** where they begin in the file, once they were written there */
  at: number | undefined;
  /** whether they were looked at since the hand went round last */
  used: boolean;
}

/**
 * Keeps what is held of photos in memory while it is not too much, and the rest in a file aside that nobody else sees:
 * what a photo's planes hold is fetched when it is looked at, and what was not looked at for longest makes room (the
 * clock, Corbató 1968). Where the file finds no room, memory holds them all.
 */
export function photosAside(most: number = inMemory): { keep: KeepHeld; close: () => void } {
  const all: Held[] = [];
  let resident = 0;
  let hand = 0;
  let file: Aside | undefined;
  let full = false;

  const write = (planes: Planes): number | undefined => {
    if (full) return undefined;
    try {
      file ??= openAside();
      const at = file.end;
      for (const name of planeNames) file.end += writeWhole(file.descriptor, planes[name], file.end);
      return at;
    } catch {
      // no place for it: memory holds the rest
      full = true;
      return undefined;
    }
  };
  /** Lets go of what was not looked at, but for what was asked for just now. */
  const makeRoom = (but: Held) => {
    for (let looked = 0; resident > most && looked < 2 * all.length; looked++) {
      const held = all[hand]!;
      hand = (hand + 1) % all.length;
      if (held === but || !held.planes) continue;
      if (held.used) held.used = false;
      else {
        held.at ??= write(held.planes);
        if (held.at === undefined) return;
        held.planes = undefined;
        resident -= total(held);
      }
    }
  };
  const fetched = (held: Held): Planes => {
    const bytes = new Uint8Array(total(held));
    readWhole(file!.descriptor, bytes, held.at!);
    let from = 0;
    const [luma, blueDifference, redDifference] = held.sizes.map((size) => bytes.subarray(from, (from += size)));
    held.planes = { luma: luma!, blueDifference: blueDifference!, redDifference: redDifference! };
    resident += total(held);
    makeRoom(held);
    return held.planes;
  };
  return {
    keep: ({ luma, blueDifference, redDifference, ...facts }) => {
      const planes = { luma, blueDifference, redDifference };
      const held: Held = { planes, sizes: planeNames.map((name) => planes[name].length), at: undefined, used: true };
      all.push(held);
      resident += total(held);
      makeRoom(held);
      const looked = () => {
        held.used = true;
        return held.planes ?? fetched(held);
      };
      return {
        ...facts,
        get luma() {
          return looked().luma;
        },
        get blueDifference() {
          return looked().blueDifference;
        },
        get redDifference() {
          return looked().redDifference;
        },
      };
    },
    close: () => {
      if (file) closeAside(file);
      file = undefined;
      full = true;
    },
  };
}

const total = ({ sizes }: Held): number => sizes.reduce((sum, size) => sum + size, 0);

interface Aside {
  folder: string;
  descriptor: number;
  end: number;
}

function openAside(): Aside {
  const folder = mkdtempSync(join(tmpdir(), 'prewrap-photos-'));
  return { folder, descriptor: openSync(join(folder, 'lanes'), 'wx+', 0o600), end: 0 };
}

function closeAside({ folder, descriptor }: Aside): void {
  closeSync(descriptor);
  rmSync(folder, { recursive: true, force: true });
}

function writeWhole(descriptor: number, bytes: Uint8Array, at: number): number {
  for (let done = 0; done < bytes.length; ) done += writeSync(descriptor, bytes, done, bytes.length - done, at + done);
  return bytes.length;
}

function readWhole(descriptor: number, bytes: Uint8Array, at: number): void {
  for (let done = 0; done < bytes.length; ) {
    const read = readSync(descriptor, bytes, done, bytes.length - done, at + done);
    if (read === 0) throw new Error('what was held of a photo is no longer there in full');
    done += read;
  }
}
