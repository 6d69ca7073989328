import { useEffect, useState } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import type { KeptCheck } from '../../store/build.ts';
import { useApp } from '../session/app_context.tsx';
import { SvgBlobImage } from '../kit/blob_image.tsx';
import { itemWords } from '../words/items_words.ts';

// pixel (0, 0) is the centre of the first pixel
const line = (points: readonly Pixel[]) => `M${points.map(([x, y]) => `${x + 0.5} ${y + 0.5}`).join('L')}`;

/** One photo with what was read in it: tags, the blank's outline and axis, rings, marks. */
export function PhotoEvidenceView({ check, file }: { check: KeptCheck; file: string }) {
  const { actions } = useApp();
  const [photo, setPhoto] = useState<Blob>();
  const id = check.photoIds[file];
  useEffect(() => {
    let shown = true;
    if (id)
      void actions.photoFile(id).then((found) => {
        if (shown) setPhoto(found);
      });
    return () => {
      shown = false;
    };
  }, [actions, id]);
  const evidence = check.evidence.photos.find((one) => one.file === file);
  if (!evidence || !photo) return null;
  const { width, height, tags, axis, outlines, rings, marks } = evidence;
  const rims = [...rings.flatMap((ring) => ring.rims), ...marks.flatMap((mark) => mark.edges)].filter(
    (points) => points.length > 0,
  );
  const path = rims.map(line).join('');
  return (
    <svg
      className="photo-evidence"
      viewBox={`0 0 ${width} ${height}`}
      role="img"
      aria-label={itemWords.photoSpoken(file, tags.length, rings.length + marks.length)}
    >
      <SvgBlobImage blob={photo} x={0} y={0} width={width} height={height} />
      {tags.map((tag) => (
        <path key={tag.id} className="tag-outline" d={`${line(tag.corners)}Z`} vectorEffect="non-scaling-stroke" />
      ))}
      {[axis, ...outlines]
        .filter((points) => points.length > 1)
        .map((points, i) => (
          <path
            // oxlint-disable-next-line react/no-array-index-key -- the axis and the two outlines, always in this order
            key={i}
            className={i === 0 ? 'axis-line' : 'outline-line'}
            d={line(points)}
            vectorEffect="non-scaling-stroke"
          />
        ))}
      <path className="rim-under" d={path} vectorEffect="non-scaling-stroke" />
      <path className="rim" d={path} vectorEffect="non-scaling-stroke" />
    </svg>
  );
}
