/** W3C MediaStream Image Capture; not in every browser. */
interface ImageCaptureLike {
  getPhotoCapabilities(): Promise<{ imageWidth?: { max: number }; imageHeight?: { max: number } }>;
  takePhoto(settings?: { imageWidth: number; imageHeight: number }): Promise<Blob>;
}
type ImageCaptureConstructor = new (track: MediaStreamTrack) => ImageCaptureLike;

const imageCapture = (): ImageCaptureConstructor | undefined =>
  (globalThis as { ImageCapture?: ImageCaptureConstructor }).ImageCapture;

/** Whether this browser takes full-size photos out of a stream. */
export const canTakeStill = (): boolean => imageCapture() !== undefined;

/** A photo as large as the camera gives. Throws when the camera gives none. */
export async function takeStill(stream: MediaStream, now = new Date()): Promise<File> {
  const Capture = imageCapture();
  const track = stream.getVideoTracks()[0];
  if (!Capture || !track) throw new Error('no still from this camera');
  const capture = new Capture(track);
  const blob = await largest(capture);
  return new File([blob], nameOf(now, blob.type), { type: blob.type, lastModified: now.getTime() });
}

async function largest(capture: ImageCaptureLike): Promise<Blob> {
  try {
    const { imageWidth, imageHeight } = await capture.getPhotoCapabilities();
    if (imageWidth?.max && imageHeight?.max)
      return await capture.takePhoto({ imageWidth: imageWidth.max, imageHeight: imageHeight.max });
  } catch {
    // some cameras name sizes that they then refuse: their own choice of size follows
  }
  return capture.takePhoto();
}

/** A name that sorts by time and says nothing of the place. */
function nameOf(now: Date, type: string): string {
  const two = (value: number) => String(value).padStart(2, '0');
  const time = [now.getHours(), now.getMinutes(), now.getSeconds()].map(two).join('');
  return `photo-${now.getFullYear()}${two(now.getMonth() + 1)}${two(now.getDate())}-${time}.${type === 'image/png' ? 'png' : 'jpg'}`;
}
