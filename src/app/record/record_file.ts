import { withoutLocation } from '../../photo/strip_location.ts';
import type { ShownPicture } from '../../store/build.ts';
import type { RecordContent } from './record_content.ts';
import { recordPage } from './record_page.ts';

/** The record as one HTML file, its pictures inside, freed of whatever may say where they were taken. */
export async function recordFile(content: RecordContent): Promise<Blob> {
  const closeUps = await Promise.all(content.closeUps.map(({ picture }) => dataUrl(picture)));
  const page = recordPage(content, { ribbon: content.ribbon && (await dataUrl(content.ribbon)), closeUps });
  return new Blob([page], { type: 'text/html' });
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
