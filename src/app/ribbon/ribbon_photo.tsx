import { useId } from 'react';
import type { ShownEvidence } from '../../store/build.ts';
import { SvgBlobImage } from '../kit/blob_image.tsx';
import type { Shown } from './ribbon_so_far.ts';

/** Room for the picture above and below the axis, px. */
const room = 64;
const roomBelow = 24;
/** The least px a millimetre across the rod gets: zoomed out, the picture is stretched across so it can be read. */
const leastAcross = 0.9;

/** The straightened rod as the photos show it; where `only` is given, these stretches of it. */
export function RibbonPhoto({
  ribbon,
  start,
  x,
  middle,
  only,
}: {
  ribbon: NonNullable<ShownEvidence['ribbon']>;
  start: number;
  x: (mm: number) => number;
  middle: number;
  only?: readonly Shown[];
}) {
  const clip = useId();
  const from = start + ribbon.from;
  const [left, right] = [x(from), x(from + ribbon.picture.width / ribbon.pixelsPerMm)];
  const along = ((right - left) / ribbon.picture.width) * ribbon.pixelsPerMm;
  const tall = (ribbon.picture.height / ribbon.pixelsPerMm) * Math.max(along, leastAcross);
  return (
    <svg x={0} y={middle - room} width="100%" height={room + roomBelow} overflow="hidden">
      {only && (
        <clipPath id={clip}>
          {only.map((one) => (
            <rect
              key={one.from}
              x={x(start + one.from)}
              y={0}
              width={x(start + one.to) - x(start + one.from)}
              height={room + roomBelow}
            />
          ))}
        </clipPath>
      )}
      <g clipPath={only && `url(#${clip})`}>
        <SvgBlobImage blob={ribbon.picture.image} x={left} y={room - tall / 2} width={right - left} height={tall} />
      </g>
    </svg>
  );
}
