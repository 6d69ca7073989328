import { openLanesFile } from '../../src/app/workers/lanes_file.ts';
import { photosAside } from '../../src/photo/photos_aside.ts';

/** Of one photo's three planes, each filled with the photo's number and its own. */
const planes = { luma: 4000, blueDifference: 1000, redDifference: 1000 };
const count = 12;

const filled = (photo: number): Record<keyof typeof planes, Uint8Array> => ({
  luma: new Uint8Array(planes.luma).fill(photo),
  blueDifference: new Uint8Array(planes.blueDifference).fill(50 + photo),
  redDifference: new Uint8Array(planes.redDifference).fill(100 + photo),
});

/** What a worker says of a dozen photos of which memory holds two and a half. */
export interface LanesSaid {
  opened: boolean;
  /** photos whose planes are not what they were, each looked at three times, out of order */
  wrong: number[];
}

self.onmessage = async () => {
  const file = await openLanesFile();
  const keep = file && photosAside(file, 15_000).keep;
  const photos = Array.from({ length: count }, (_, i) => {
    const photo = { file: `${i}.jpg`, width: 80, height: 50, ...filled(i) };
    return keep ? keep(photo) : photo;
  });
  const wrong = Array.from({ length: 3 * count }, (_, i) => (7 * i) % count).filter((i) => {
    const own = filled(i);
    return (Object.keys(planes) as (keyof typeof planes)[]).some(
      (plane) => photos[i]![plane].length !== own[plane].length || photos[i]![plane].some((v) => v !== own[plane][0]),
    );
  });
  postMessage({ opened: file !== undefined, wrong } satisfies LanesSaid);
};
