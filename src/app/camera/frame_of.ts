/**
 * What a video shows now, for the worker. A frame of the decoder's costs nothing to hand over; where there is none, or
 * it lies on its side, the picture is copied, which stops the page for a tenth of a second and more.
 */
export async function frameOf(video: HTMLVideoElement): Promise<VideoFrame | ImageBitmap> {
  if (typeof VideoFrame === 'function') {
    const frame = new VideoFrame(video);
    if (frame.displayWidth === video.videoWidth && frame.displayHeight === video.videoHeight) return frame;
    frame.close();
  }
  return createImageBitmap(video);
}
