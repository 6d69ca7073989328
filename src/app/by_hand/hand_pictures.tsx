import { useCallback } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import type { KeptCheck } from '../../store/build.ts';
import { useApp } from '../session/app_context.tsx';
import { useBlobUrl } from './hand_blob_url.ts';
import { handPoints } from '../edits/hand_places.ts';
import { baseName } from '../files/open_files.ts';
import { handWords } from '../words/hand_words.ts';

/** Cut-outs of the photos with the points a check measured an item by. */
export function HandPictures({ id, check }: { id: string; check: KeptCheck }) {
  return Object.entries(handPoints(check.shoot, id)).map(([file, points]) => (
    <HandPicture key={file} id={id} file={file} points={points} check={check} />
  ));
}

function HandPicture({
  id,
  file,
  points,
  check,
}: {
  id: string;
  file: string;
  points: readonly Pixel[];
  check: KeptCheck;
}) {
  const { actions } = useApp();
  const photo = check.photoIds[file];
  const url = useBlobUrl(useCallback(async () => (photo ? actions.photoFile(photo) : undefined), [actions, photo]));
  const size = check.evidence.photos.find((one) => one.file === file);
  if (!url || !size) return null;
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const half = Math.max(right - left, bottom - top, 60) * 0.8;
  const box = `${(left + right) / 2 + 0.5 - half} ${(top + bottom) / 2 + 0.5 - half} ${2 * half} ${2 * half}`;
  const arm = half / 12;
  const crosses = points
    .map(([x, y]) => `M${x + 0.5 - arm} ${y + 0.5}h${2 * arm}M${x + 0.5} ${y + 0.5 - arm}v${2 * arm}`)
    .join('');
  const rims = (size.rings.find((ring) => ring.id === id)?.rims ?? [])
    .filter((rim) => rim.length > 0)
    .map((rim) => `M${rim.map(([x, y]) => `${x + 0.5} ${y + 0.5}`).join('L')}`)
    .join('');
  return (
    <figure className="close-up">
      <svg viewBox={box} role="img" aria-label={handWords.picture(id, file)}>
        <image href={url} width={size.width} height={size.height} preserveAspectRatio="none" />
        <path className="rim-under" d={crosses + rims} vectorEffect="non-scaling-stroke" />
        <path className="rim" d={crosses + rims} vectorEffect="non-scaling-stroke" />
      </svg>
      <figcaption>{baseName(file)}</figcaption>
    </figure>
  );
}
