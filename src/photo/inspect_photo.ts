import { InputError } from '../plan/input_error.ts';
import { cameraFacts } from './camera_facts.ts';
import { readExif } from './exif.ts';
import { type FileKind, fileKind } from './file_kind.ts';
import { readImageHeader } from './read_image_header.ts';
import type { Photo, PhotoFile } from './photo.ts';
import { shownName } from '../plan/shown_name.ts';

/** The most pixels a photo may have: 200 MiB of them, four bytes each as platforms decode them. */
export const maximumPixels = (200 * 2 ** 20) / 4;

export interface InspectedPhoto {
  kind: FileKind;
  /** 1 to 8, as EXIF says; 1 where it does not */
  orientation: number;
  /** what EXIF adds to the decoded photo */
  facts: Pick<Photo, 'focalPrior' | 'cameraKey' | 'takenAt'>;
}

/** What a person calls each kind that is no photo. */
const otherKinds: Partial<Record<FileKind, string>> = {
  gif: 'a GIF picture',
  tiff: 'a TIFF or raw picture',
  bmp: 'a BMP picture',
  pdf: 'a PDF',
  zip: 'a zip file',
  video: 'a video or sound file',
  text: 'a text file',
};

/** The one sentence for a file that stops too early. */
export const cutOffMessage = (name: string): string =>
  `${shownName(name)} stops before its end: copy or save it again from the phone.`;
/** The one sentence for a file whose contents make no sense to the decoder. */
export const damagedMessage = (name: string): string =>
  `${shownName(name)} is damaged and cannot be read: copy or save it again from the phone.`;
/** The one sentence for an HEIC photo where the platform has no decoder for it. */
export const heicMessage = (name: string): string =>
  `${shownName(name)} is an HEIC photo, which cannot be read here: save it as JPEG, or set the phone's camera to its JPEG format ("Most Compatible" on an iPhone) and take it again.`;

/**
 * Looks at a photo file before it is decoded: kind by its first bytes, size and EXIF from its header.
 *
 * @throws InputError when it is empty, no photo, cut off, damaged in its header or over 52 megapixels
 */
export function inspectPhotoFile(file: PhotoFile): InspectedPhoto {
  const { name, bytes } = file;
  const kind = fileKind(bytes);
  if (kind === 'empty') throw new InputError(`${shownName(name)} is empty: copy or save it again from the phone.`);
  if (kind !== 'jpeg' && kind !== 'png' && kind !== 'webp' && kind !== 'heic' && kind !== 'avif') {
    const what = otherKinds[kind];
    throw new InputError(
      what === undefined
        ? `${shownName(name)} is not a photo that can be read here: use a JPEG, PNG or WebP file.`
        : `${shownName(name)} is ${what}, not a photo: use a JPEG, PNG or WebP file.`,
    );
  }
  const header = readImageHeader(bytes, kind);
  if (header === undefined) throw new InputError(cutOffMessage(name));
  const { width, height } = header;
  if (width < 1 || height < 1) throw new InputError(damagedMessage(name));
  if (width * height > maximumPixels) {
    const megapixels = Math.ceil((width * height) / 1e6);
    throw new InputError(
      `${shownName(name)} has ${megapixels} megapixels and the limit is ${Math.floor(maximumPixels / 1e6)}: set the camera to a smaller size, 12 megapixels is plenty, or save the photo smaller.`,
    );
  }
  if (!header.complete) throw new InputError(cutOffMessage(name));
  const exif = header.exif ? readExif(header.exif) : {};
  return { kind, orientation: exif.orientation ?? 1, facts: cameraFacts(exif, width, height) };
}
