import { reason } from '../../plan/reason.ts';
/** Whether this page may ask for the camera at all: browsers hide it from pages without https. */
export const canOpenCamera = (): boolean =>
  typeof navigator.mediaDevices?.getUserMedia === 'function' && typeof createImageBitmap === 'function';

/** Why the camera could not be opened. */
export type CameraProblem = { kind: 'refused' } | { kind: 'none' } | { kind: 'busy' } | { kind: 'failed'; why: string };

/**
 * Opens the rear camera where there is one; its problem instead when it can't be.
 *
 * @param fine whether the pictures themselves come out of the video, which then should have all pixels it can
 */
export async function openCamera(fine: boolean): Promise<MediaStream | CameraProblem> {
  const size = fine
    ? { width: { ideal: 3840 }, height: { ideal: 2160 } }
    : { width: { ideal: 1920 }, height: { ideal: 1080 } };
  try {
    return await navigator.mediaDevices.getUserMedia({
      audio: false,
      video: { facingMode: { ideal: 'environment' }, ...size },
    });
  } catch (error) {
    const name = error instanceof Error ? error.name : '';
    if (name === 'NotAllowedError' || name === 'SecurityError') return { kind: 'refused' };
    if (name === 'NotFoundError' || name === 'OverconstrainedError') return { kind: 'none' };
    if (name === 'NotReadableError' || name === 'AbortError') return { kind: 'busy' };
    return { kind: 'failed', why: reason(error) };
  }
}

export const isStream = (opened: MediaStream | CameraProblem): opened is MediaStream => 'getTracks' in opened;

export const closeCamera = (stream: MediaStream): void => {
  for (const track of stream.getTracks()) track.stop();
};
