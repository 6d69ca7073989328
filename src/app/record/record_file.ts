import { withoutLocation } from '../../photo/strip_location.ts';
import type { ShownPicture } from '../../store/build.ts';
import type { RecordContent } from './record_content.ts';
import { type PagePictures, recordPage } from './record_page.ts';
import type { RodRecordContent } from './rod_record_content.ts';
import { rodRecordPage } from './rod_record_page.ts';

/** The record as one HTML file, its pictures inside, freed of whatever may say where they were taken. */
export async function recordFile(content: RecordContent): Promise<Blob> {
  return new Blob([recordPage(content, await picturesFor(content))], { type: 'text/html' });
}

/** The record of a rod in pieces as one HTML file, as `recordFile`. */
export async function rodRecordFile(content: RodRecordContent): Promise<Blob> {
  const pictures = await Promise.all(
    content.parts.map(async (part) => (part.content ? picturesFor(part.content) : { closeUps: [] })),
  );
  return new Blob([rodRecordPage(content, pictures)], { type: 'text/html' });
}

async function picturesFor({ ribbon, closeUps }: RecordContent): Promise<PagePictures> {
  return {
    ribbon: ribbon && (await dataUrl(ribbon)),
    closeUps: await Promise.all(closeUps.map(({ picture }) => dataUrl(picture))),
  };
}

async function dataUrl({ image }: ShownPicture): Promise<string | undefined> {
  const bytes = withoutLocation(new Uint8Array(await image.arrayBuffer()));
  if (!bytes) return undefined;
  // text is made in pieces: a call takes only so many arguments
  let text = '';
  for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
  return `data:${kindOf(bytes)};base64,${btoa(text)}`;
}

const kindOf = (bytes: Uint8Array): string =>
  bytes[0] === 0x89 ? 'image/png' : bytes[0] === 0x52 ? 'image/webp' : 'image/jpeg';
