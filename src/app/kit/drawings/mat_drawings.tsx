import { paperSizes, rowLength, rowsBreadth, tagPlace, tagSide } from '../../../mat/tile.ts';
import { viewWords } from '../../words/items_words.ts';
import { matWords } from '../../words/mat_words.ts';
import { Dimension, Drawing } from './drawing.tsx';
import { TileDrawing, tileHeight } from './tile_drawing.tsx';

const { steps } = matWords;

/** A page out of the printer, its scale 100 %. */
export function PrintDrawing() {
  return (
    <Drawing label={steps.print.drawing}>
      <path className="drawing-paper" d="M40 24h90v26h-90zM30 50h110v28h-110z" />
      <path d="M40 64h90" />
      <g className="drawing-mat" transform="translate(0 64)">
        <path className="drawing-paper" d="M45 0h80l8 38h-96z" />
        <path
          className="drawing-ink"
          d="M52 8h9l-1 7h-9zM71 8h9v7h-9zM90 8h9l1 7h-9zM109 8h9l1 7h-9zM47 25h10l-1 8h-10zM69 25h10v8h-10zM91 25h10l1 8h-10zM113 25h9l2 8h-10z"
        />
      </g>
      <rect className="drawing-paper" x="158" y="34" width="70" height="34" rx="5" />
      <text x="193" y="57" textAnchor="middle" className="drawing-large">
        100 %
      </text>
    </Drawing>
  );
}

/** A rule's ticks from its left upper corner, `count` of them. */
const ticks = (x: number, y: number, step: number, count: number) =>
  Array.from({ length: count }, (_, i) => `M${x + i * step} ${y}v${i % 5 === 0 ? 6 : 3.5}`).join('');

/** One page with a rule along its lower row of squares and one across both rows. */
export function RowsDrawing() {
  const wide = 132;
  const [x, y] = [66, 8];
  const k = wide / paperSizes.A4.width;
  const row = rowLength * k;
  const rows = rowsBreadth * k;
  const along = { x: x + wide / 2 - row / 2, y: y + tileHeight(wide) / 2 + rows / 2 };
  const across = { x: along.x, y: along.y - rows };
  return (
    <Drawing label={steps.rows.drawing} height={120}>
      <TileDrawing x={x} y={y} wide={wide} />
      <rect className="drawing-paper" x={along.x - 8} y={along.y + 1} width={row + 16} height={11} />
      <path d={ticks(along.x, along.y + 1, row / 20, 21)} />
      <g transform={`rotate(90 ${across.x} ${across.y})`}>
        <rect className="drawing-paper" x={across.x - 8} y={across.y + 1} width={rows + 16} height={11} />
        <path d={ticks(across.x, across.y + 1, rows / 15, 16)} />
      </g>
      <Dimension x={along.x} y={115} length={row} />
      <Dimension x={30} y={across.y} length={rows} upright />
      <path
        className="drawing-faint"
        d={`M${along.x} ${along.y}V119M${along.x + row} ${along.y}V119M26 ${across.y}H${across.x}M26 ${across.y + rows}H${across.x}`}
      />
    </Drawing>
  );
}

const matTile = 68;
const matLeft = (240 - 3 * matTile) / 2;
const inMat = (tile: number) => matLeft + tile * matTile;

/** Three tiles end to end. */
function Mat({ y }: { y: number }) {
  return [0, 1, 2].map((tile) => <TileDrawing key={tile} x={inMat(tile)} y={y} wide={matTile} number={tile + 1} />);
}

/** Tiles pushed together, tape over each joint. */
export function LayDrawing() {
  const y = 26;
  const tape = (x: number, at: number) => <rect className="drawing-tape" x={x - 5} y={at - 4} width={10} height={8} />;
  return (
    <Drawing label={steps.lay.drawing} height={84}>
      <Mat y={y} />
      {[1, 2].map((tile) => (
        <g key={tile}>
          {tape(inMat(tile), y + 3)}
          {tape(inMat(tile), y + tileHeight(matTile) - 3)}
        </g>
      ))}
      <path
        className="drawing-strong"
        d={`M30 14H${inMat(1) - 6}m-5 -3l5 3l-5 3M210 14H${inMat(2) + 6}m5 -3l-5 3l5 3`}
      />
    </Drawing>
  );
}

/** A tape over the row, from the first tag's outer edge to the last one's. */
export function SpanDrawing() {
  const y = 40;
  const k = matTile / paperSizes.A4.width;
  const edge = (tile: number, id: number, side: number) =>
    inMat(tile) + (paperSizes.A4.width / 2 + tagPlace(id)!.centre[0] + (side * tagSide) / 2) * k;
  const [from, to] = [edge(0, 0, -1), edge(2, 4, 1)];
  return (
    <Drawing label={steps.span.drawing} height={96}>
      <Mat y={y} />
      <rect className="drawing-paper" x={from} y={y - 12} width={to - from + 14} height={10} />
      <path d={ticks(from, y - 12, 4, Math.floor((to - from) / 4) + 1)} />
      <rect className="drawing-ink" x={to + 12} y={y - 20} width={16} height={18} rx={3} />
      <Dimension x={from} y={18} length={to - from} />
      <path className="drawing-faint" d={`M${from} 12V${y + 4}M${to} 12V${y + 4}`} />
    </Drawing>
  );
}

/** The rod in the lane, tip over tile 1. */
export function RodOnMatDrawing() {
  const y = 24;
  const middle = y + tileHeight(matTile) / 2;
  return (
    <Drawing label={steps.rest.drawing} height={80}>
      {[0, 1, 2].map((tile) => (
        <TileDrawing key={tile} x={inMat(tile)} y={y} wide={matTile} />
      ))}
      <g className="drawing-mat">
        <path className="drawing-ink" d={`M24 ${middle - 0.6}L218 ${middle - 2.2}v4.4L24 ${middle + 0.6}z`} />
        {[44, 72, 106, 148].map((x, i) => (
          <ellipse key={x} className="drawing-strong" cx={x} cy={middle} rx={1.6 + i * 0.6} ry={3 + 1.6 * i} />
        ))}
      </g>
      <text x="20" y="15">
        {viewWords.tip}
      </text>
      <text x="220" y="15" textAnchor="end">
        {viewWords.butt}
      </text>
    </Drawing>
  );
}
