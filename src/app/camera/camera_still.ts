/** W3C MediaStream Image Capture; not in every browser. */
interface ImageCaptureLike {
  getPhotoCapabilities(): Promise<{ imageWidth?: { max: number }; imageHeight?: { max: number } }>;
  takePhoto(settings?: { imageWidth: number; imageHeight: number }): Promise<Blob>;
}
type ImageCaptureConstructor = new (track: MediaStreamTrack) => ImageCaptureLike;

const imageCapture = (): ImageCaptureConstructor | undefined =>
  (globalThis as { ImageCapture?: ImageCaptureConstructor }).ImageCapture;

/** Whether this browser takes photos of their own out of a stream, in their full size. */
export const canTakeStill = (): boolean => imageCapture() !== undefined;

/**
 * A photo of what the camera sees: as large as it gives, or the frame that its video shows where the browser takes no
 * photos. Throws when the camera gives none.
 */
export async function takePicture(stream: MediaStream, video: HTMLVideoElement, now = new Date()): Promise<File> {
  const Capture = imageCapture();
  const track = stream.getVideoTracks()[0];
  if (!track) throw new Error('no picture from this camera');
  const blob = Capture ? await largest(new Capture(track)) : await pictureOf(video);
  return new File([blob], nameOf(now, blob.type), { type: blob.type, lastModified: now.getTime() });
}

/** Pixels along the longer side of the pictures that will be taken; undefined where the camera does not say. */
export async function pictureSide(stream: MediaStream): Promise<number | undefined> {
  const Capture = imageCapture();
  const track = stream.getVideoTracks()[0];
  if (!track) return undefined;
  if (Capture) {
    // some cameras say nothing of their photos
    const size = await new Capture(track).getPhotoCapabilities().catch(() => undefined);
    const side = Math.max(size?.imageWidth?.max ?? 0, size?.imageHeight?.max ?? 0);
    if (side > 0) return side;
  }
  const { width = 0, height = 0 } = track.getSettings();
  return Math.max(width, height) || undefined;
}

/** What a video shows now, as JPEG; in its own size, or `side` pixels long. Throws while it shows nothing. */
export async function pictureOf(video: HTMLVideoElement, side?: number): Promise<Blob> {
  const { videoWidth, videoHeight } = video;
  const scale = side === undefined ? 1 : side / Math.max(videoWidth, videoHeight);
  const canvas = new OffscreenCanvas(Math.round(videoWidth * scale), Math.round(videoHeight * scale));
  canvas.getContext('2d')!.drawImage(video, 0, 0, canvas.width, canvas.height);
  return canvas.convertToBlob({ type: 'image/jpeg', quality: 0.95 });
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
