import type { Picture } from '../../photo/photo.ts';
import type { ShownEvidence, ShownPicture } from '../../store/build.ts';
import type { Evidence } from '../../verdict/evidence.ts';

/** A check's evidence with its pictures encoded to show and to keep; in the worker, so the page never waits. */
export async function showEvidence(evidence: Evidence): Promise<ShownEvidence> {
  const { ribbon, closeUps, ...rest } = evidence;
  return {
    ...rest,
    ...(ribbon ? { ribbon: { ...ribbon, picture: await encoded(ribbon.picture) } } : {}),
    closeUps: await Promise.all(
      closeUps.map(async (closeUp) => ({ ...closeUp, picture: await encoded(closeUp.picture) })),
    ),
  };
}

async function encoded({ width, height, rgba }: Picture): Promise<ShownPicture> {
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d');
  if (!context) throw new Error('this browser cannot draw pictures outside of the page');
  context.putImageData(new ImageData(rgba, width, height), 0, 0);
  return { width, height, image: await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 }) };
}
