import type { Pixel } from '../../geometry/vector.ts';
import { loupeSize, type Size } from './hand_view.ts';

/** The photo round a point, magnified: it stands beside the finger that moves the point. */
export function HandLoupe({
  url,
  size,
  point,
  scale,
  middle,
}: {
  url: string;
  size: Size;
  point: Pixel;
  /** CSS pixels a photo pixel */
  scale: number;
  /** where the loupe's middle stands in the window */
  middle: Pixel;
}) {
  const half = loupeSize / 2;
  const lines = `M0 ${half}H${half - 8}M${half + 8} ${half}H${loupeSize}M${half} 0V${half - 8}M${half} ${half + 8}V${loupeSize}`;
  return (
    <div
      className="hand-loupe"
      aria-hidden="true"
      style={{
        width: loupeSize,
        height: loupeSize,
        transform: `translate(${middle[0] - half}px, ${middle[1] - half}px)`,
      }}
    >
      <img
        className="hand-image"
        src={url}
        alt=""
        style={{
          width: size.width,
          height: size.height,
          transform: `translate(${half - (point[0] + 0.5) * scale}px, ${half - (point[1] + 0.5) * scale}px) scale(${scale})`,
        }}
      />
      <svg viewBox={`0 0 ${loupeSize} ${loupeSize}`}>
        <path className="rim-under" d={lines} />
        <path className="rim" d={lines} />
        <circle className="hand-loupe-dot" cx={half} cy={half} r="1.5" />
      </svg>
    </div>
  );
}
