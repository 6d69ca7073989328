import type { Pixel } from '../../geometry/vector.ts';

/**
 * How a photo stands in its window: the photo's pixel in the window's middle, and CSS pixels a photo pixel. Places in
 * the photo are pixels of the upright photo, (0, 0) the centre of the first one; places in the window are CSS pixels
 * from its left upper corner.
 */
export interface HandView {
  centre: Pixel;
  scale: number;
}

export interface Size {
  width: number;
  height: number;
}

/** The closest a photo is shown, CSS pixels a photo pixel: beyond it there is nothing more to see. */
const closest = 24;
/** A place is shown no closer than this at first: enough of its surroundings stays to know it by. */
const closestAtFirst = 10;

export const toWindow = ({ centre, scale }: HandView, window: Size, [x, y]: Pixel): Pixel => [
  window.width / 2 + (x - centre[0]) * scale,
  window.height / 2 + (y - centre[1]) * scale,
];

export const toPhoto = ({ centre, scale }: HandView, window: Size, [x, y]: Pixel): Pixel => [
  centre[0] + (x - window.width / 2) / scale,
  centre[1] + (y - window.height / 2) / scale,
];

/** The scale at which the whole photo shows. */
const wholeScale = (window: Size, photo: Size): number =>
  Math.min(window.width / photo.width, window.height / photo.height);

/** A pixel brought inside the photo. */
export const insideOf = (photo: Size, [x, y]: Pixel): Pixel => [
  Math.min(Math.max(x, -0.5), photo.width - 0.5),
  Math.min(Math.max(y, -0.5), photo.height - 0.5),
];

/** A view brought within bounds: some of the photo always stands in the window's middle. */
export function within(view: HandView, window: Size, photo: Size): HandView {
  const least = wholeScale(window, photo);
  const scale = Math.min(Math.max(view.scale, least), Math.max(closest, least));
  return { centre: insideOf(photo, view.centre), scale };
}

export const wholePhoto = (window: Size, photo: Size): HandView => ({
  centre: [(photo.width - 1) / 2, (photo.height - 1) / 2],
  scale: wholeScale(window, photo),
});

/** A view of a place with at least `reach` photo pixels round it. */
export function around(place: Pixel, reach: number, window: Size, photo: Size): HandView {
  const scale = Math.min(Math.min(window.width, window.height) / (2 * reach), closestAtFirst);
  return within({ centre: place, scale }, window, photo);
}

/** Zooms by `factor` (above 1 is closer) so that what stands at a place of the window stays there. */
export function zoomedAt(view: HandView, factor: number, at: Pixel, window: Size, photo: Size): HandView {
  const held = toPhoto(view, window, at);
  const { scale } = within({ centre: view.centre, scale: view.scale * factor }, window, photo);
  const centre: Pixel = [held[0] - (at[0] - window.width / 2) / scale, held[1] - (at[1] - window.height / 2) / scale];
  return within({ centre, scale }, window, photo);
}

/** Moves the photo by CSS pixels. */
export const pannedBy = (view: HandView, [dx, dy]: Pixel, window: Size, photo: Size): HandView =>
  within(
    { centre: [view.centre[0] - dx / view.scale, view.centre[1] - dy / view.scale], scale: view.scale },
    window,
    photo,
  );

/** The view moved so that a place shows; the same view when it shows already. */
export function showing(view: HandView, place: Pixel, window: Size, photo: Size): HandView {
  const [x, y] = toWindow(view, window, place);
  const room = 24;
  const seen = x >= room && y >= room && x <= window.width - room && y <= window.height - room;
  return seen ? view : within({ ...view, centre: place }, window, photo);
}

/** The loupe's width, and how far its edge keeps from the finger, CSS pixels. */
export const loupeSize = 132;
const fingerRoom = 44;

/**
 * The loupe's own scale: clearly closer than the photo, with some ten pixels across so that an edge still shows as one.
 */
export const loupeScale = (scale: number): number => Math.max(Math.min(2.5 * scale, 11), 1.5 * scale, 5);

/**
 * Where the loupe's middle stands for a finger at `at`: above it, else beside it, else below; inside the window and
 * never under the finger.
 */
export function loupePlace([x, y]: Pixel, window: Size): Pixel {
  const half = loupeSize / 2;
  const away = half + fingerRoom;
  const inX = (value: number) => Math.min(Math.max(value, half), Math.max(window.width - half, half));
  const inY = (value: number) => Math.min(Math.max(value, half), Math.max(window.height - half, half));
  const places: Pixel[] = [
    [inX(x), y - away],
    [x - away, inY(y)],
    [x + away, inY(y)],
    [inX(x), y + away],
  ];
  const fits = ([px, py]: Pixel) => px >= half && py >= half && px <= window.width - half && py <= window.height - half;
  return places.find(fits) ?? [x < window.width / 2 ? window.width - half : half, half];
}
