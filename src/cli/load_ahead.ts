import type { LoadPhoto } from '../check/tagged_views.ts';
import { decodePhotoFile } from '../photo/decode_node.ts';
import type { Photo } from '../photo/photo.ts';

/**
 * Decodes photos as they are asked for. The first is under way at once, and of the one after each the file is read
 * before it is asked for: a file's bytes come only while this thread waits, but bytes that are there are decoded on
 * another one while this one works. What goes wrong is told when it is asked for.
 */
export function loadAhead(names: readonly string[], bytesOf: (name: string) => Promise<Uint8Array>): LoadPhoto {
  let next: { index: number; bytes: Promise<Uint8Array> } | undefined;
  const load = async (index: number): Promise<Photo> => {
    const name = names[index]!;
    const bytes = next?.index === index ? next.bytes : bytesOf(name);
    const after = names[index + 1];
    next = after === undefined ? undefined : { index: index + 1, bytes: toldLater(bytesOf(after)) };
    return decodePhotoFile({ name, bytes: await bytes });
  };
  let first: Promise<Photo> | undefined = toldLater(load(0));
  return (index) => {
    const ahead = index === 0 ? first : undefined;
    if (ahead) first = undefined;
    return ahead ?? load(index);
  };
}

function toldLater<T>(coming: Promise<T>): Promise<T> {
  coming.catch(() => {});
  return coming;
}
