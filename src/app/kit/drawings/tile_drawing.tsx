import { paperSizes, tagPlace, tagSide, tileTagIds } from '../../../mat/tile.ts';

const { width, height } = paperSizes.A4;

/** A tile's size in a drawing where it is `wide` px wide. */
export const tileHeight = (wide: number): number => (wide * height) / width;

/** A tile as it is printed, `wide` px wide, its left upper corner at (x, y). */
export function TileDrawing({ x, y, wide, number }: { x: number; y: number; wide: number; number?: number }) {
  const k = wide / width;
  const at = (u: number, v: number) => `${x + (u + width / 2) * k} ${y + (height / 2 - v) * k}`;
  const tags = tileTagIds(0).map((id) => {
    const [u, v] = tagPlace(id)!.centre;
    return `M${at(u - tagSide / 2, v + tagSide / 2)}h${tagSide * k}v${tagSide * k}h${-tagSide * k}z`;
  });
  return (
    <g className="drawing-mat">
      <rect className="drawing-paper" x={x} y={y} width={wide} height={tileHeight(wide)} />
      <path className="drawing-ink" d={tags.join('')} />
      {number !== undefined && (
        <text x={x + wide / 2} y={y + tileHeight(wide) / 2 + 4} textAnchor="middle">
          {number}
        </text>
      )}
    </g>
  );
}
