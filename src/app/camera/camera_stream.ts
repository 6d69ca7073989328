/** Whether this page may ask for the camera at all: browsers hide it from pages without https. */
export const canOpenCamera = (): boolean =>
  typeof navigator.mediaDevices?.getUserMedia === 'function' && typeof createImageBitmap === 'function';

/** Why the camera could not be opened. */
export type CameraProblem = { kind: 'refused' } | { kind: 'none' } | { kind: 'busy' } | { kind: 'failed'; why: string };

/** Opens the rear camera where there is one; its problem instead when it can't be. */
export async function openCamera(): Promise<MediaStream | CameraProblem> {
  try {
    return await navigator.mediaDevices.getUserMedia({
      audio: false,
      video: { facingMode: { ideal: 'environment' }, width: { ideal: 1920 }, height: { ideal: 1080 } },
    });
  } catch (error) {
    const name = error instanceof Error ? error.name : '';
    if (name === 'NotAllowedError' || name === 'SecurityError') return { kind: 'refused' };
    if (name === 'NotFoundError' || name === 'OverconstrainedError') return { kind: 'none' };
    if (name === 'NotReadableError' || name === 'AbortError') return { kind: 'busy' };
    return { kind: 'failed', why: error instanceof Error ? error.message : String(error) };
  }
}

export const isStream = (opened: MediaStream | CameraProblem): opened is MediaStream => 'getTracks' in opened;

export const closeCamera = (stream: MediaStream): void => {
  for (const track of stream.getTracks()) track.stop();
};
