import { memo, useId } from 'react';
import { paperSizes, type PaperName, tagSide, tagsPerRow, tileNumber, tileTagIds, tagPlace } from '../../mat/tile.ts';
import { columnCounts, coveredTiles, type Tiles } from './photo_coverage.ts';
import type { Columns, PhotoView } from './photo_view.ts';
import { photoWords } from '../words/photo_words.ts';

interface Mat {
  paper: PaperName;
  tiles: number;
}

/** The mat's own length and the widths of lines and type on it, mm. */
function measures({ paper, tiles }: Mat) {
  const { width, height } = paperSizes[paper];
  const total = width * tiles;
  return { width, height, total, line: total / 260, type: Math.max(total / 26, 40) };
}

/**
 * The mat from above: its lane is empty where no photo shows it, hatched where one does, filled where more do; `live`
 * frames what the camera sees now, and a tick stands where the photo just taken is of.
 */
export function CoverageDrawing({
  views,
  mat,
  live,
  ticked,
}: {
  views: readonly PhotoView[];
  mat: Mat;
  live?: Columns;
  ticked?: Columns;
}) {
  const { width, height, total, line, type } = measures(mat);
  const from = live && columnEdge(live.from, width, total);
  return (
    <svg
      className="coverage-drawing"
      viewBox={`${-line} ${-line} ${total + 2 * line} ${height + 1.3 * type}`}
      preserveAspectRatio="xMinYMid"
      strokeWidth={line}
      aria-hidden="true"
    >
      <CoveredMat views={views} paper={mat.paper} tiles={mat.tiles} />
      {live && (
        <rect
          className="coverage-live"
          x={from}
          y={line}
          width={columnEdge(live.to + 1, width, total) - from!}
          height={height - 2 * line}
          strokeWidth={2 * line}
        />
      )}
      {ticked && (
        <Tick
          x={(columnEdge(ticked.from, width, total) + columnEdge(ticked.to + 1, width, total)) / 2}
          y={height / 2}
          size={height}
        />
      )}
    </svg>
  );
}

function Tick({ x, y, size }: { x: number; y: number; size: number }) {
  return (
    <g className="coverage-tick" transform={`translate(${x} ${y}) scale(${size / 100})`}>
      <circle r={42} />
      <path d="M-20 2L-6 16L20 -14" strokeWidth={9} />
    </g>
  );
}

/** What stays the same from one frame of the camera to the next. */
const CoveredMat = memo(function CoveredMat({ views, ...mat }: Mat & { views: readonly PhotoView[] }) {
  const hatch = useId();
  const { width, height, total, line, type } = measures(mat);
  return (
    <>
      <defs>
        <pattern id={hatch} width={5 * line} height={5 * line} patternUnits="userSpaceOnUse">
          <path className="coverage-hatch" d={`M0 ${5 * line}L${5 * line} 0`} strokeWidth={1.2 * line} />
        </pattern>
      </defs>
      {Array.from({ length: mat.tiles }, (_, tile) => (
        <g key={tile}>
          <rect className="coverage-tile" x={tile * width} y={0} width={width} height={height} />
          {tileTagIds(tile).map((id) => {
            const [u, v] = tagPlace(id)!.centre;
            const [x, y] = [tile * width + width / 2 + u - tagSide / 2, height / 2 - v - tagSide / 2];
            return <rect key={id} className="coverage-tag" x={x} y={y} width={tagSide} height={tagSide} />;
          })}
          <text className="coverage-number" x={(tile + 0.5) * width} y={height + type} fontSize={type}>
            {tileNumber(tile)}
          </text>
        </g>
      ))}
      {columnCounts(views, mat.tiles).map((count, column) => {
        const x = columnEdge(column, width, total);
        return (
          <rect
            key={x}
            className={['coverage-never', 'coverage-once'][count] ?? 'coverage-twice'}
            fill={count === 1 ? `url(#${hatch})` : undefined}
            x={x}
            y={height * 0.34}
            width={columnEdge(column + 1, width, total) - x}
            height={height * 0.32}
          />
        );
      })}
    </>
  );
});

/**
 * mm from the mat's left end to where a column begins: half way from the one before; the last one ends with the mat.
 */
function columnEdge(column: number, width: number, total: number): number {
  if (column === 0) return 0;
  if (column * (width / tagsPerRow) > total - 1) return total;
  const centre = (index: number) =>
    Math.floor(index / tagsPerRow) * width + width / 2 + ((index % tagsPerRow) - (tagsPerRow - 1) / 2) * 50;
  return (centre(column - 1) + centre(column)) / 2;
}

/** The same in words; what is not covered is said once no photo is still being looked at. */
export function CoverageWords({
  views,
  tiles,
  looking = false,
}: {
  views: readonly PhotoView[];
  tiles: number;
  looking?: boolean;
}) {
  const photos = photoWords;
  const { twice, once, never } = coveredTiles(columnCounts(views, tiles));
  const names = (runs: Tiles[]) => runs.map(({ from, to }) => photos.tileRange(tileNumber(from), tileNumber(to)));
  return (
    <p className="coverage-words">
      {(once.length + never.length === 0
        ? [photos.allTwice]
        : [
            twice.length > 0 && photos.twice(names(twice)),
            once.length > 0 && photos.once(names(once)),
            looking ? photos.stillLooking : never.length > 0 && photos.never(names(never)),
          ]
      )
        .filter(Boolean)
        .join(' ')}{' '}
      <span className="hint">{photos.coverageKey}</span>
    </p>
  );
}
