import { paperSizes, type PaperName, tagSide, tagsPerRow, tileNumber, tileTagIds, tagPlace } from '../mat/tile.ts';
import { columnCounts, coveredTiles, type Tiles } from './photo_coverage.ts';
import type { Columns, PhotoView } from './photo_view.ts';
import { words } from './words.ts';

interface Mat {
  paper: PaperName;
  tiles: number;
}

/**
 * The mat from above: its lane is empty where no photo shows it, hatched where one does, filled where more do; `live`
 * frames what the camera sees now.
 */
export function CoverageDrawing({ views, mat, live }: { views: readonly PhotoView[]; mat: Mat; live?: Columns }) {
  const { width, height } = paperSizes[mat.paper];
  const total = width * mat.tiles;
  const counts = columnCounts(views, mat.tiles);
  const edges = counts.map((_, column) => columnEdge(column, width, total));
  const right = (column: number) => edges[column + 1] ?? total;
  const line = total / 260;
  const type = Math.max(total / 26, 40);
  return (
    <svg
      className="coverage-drawing"
      viewBox={`${-line} ${-line} ${total + 2 * line} ${height + 1.3 * type}`}
      strokeWidth={line}
      aria-hidden="true"
    >
      <defs>
        <pattern id="once" width={5 * line} height={5 * line} patternUnits="userSpaceOnUse">
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
      {counts.map((count, column) => (
        <rect
          key={edges[column]}
          className={['coverage-never', 'coverage-once'][count] ?? 'coverage-twice'}
          fill={count === 1 ? 'url(#once)' : undefined}
          x={edges[column]}
          y={height * 0.34}
          width={right(column) - edges[column]!}
          height={height * 0.32}
        />
      ))}
      {live && (
        <rect
          className="coverage-live"
          x={edges[live.from] ?? 0}
          y={line}
          width={right(live.to) - (edges[live.from] ?? 0)}
          height={height - 2 * line}
          strokeWidth={2 * line}
        />
      )}
    </svg>
  );
}

/** mm from the mat's left end to where a column begins: half way to the one before, across joints too. */
function columnEdge(column: number, width: number, total: number): number {
  const centre = (index: number) =>
    Math.floor(index / tagsPerRow) * width + width / 2 + ((index % tagsPerRow) - (tagsPerRow - 1) / 2) * 50;
  return column === 0 ? 0 : Math.min((centre(column - 1) + centre(column)) / 2, total);
}

/** The same in words. */
export function CoverageWords({ views, tiles }: { views: readonly PhotoView[]; tiles: number }) {
  const { photos } = words;
  const { twice, once, never } = coveredTiles(columnCounts(views, tiles));
  const names = (runs: Tiles[]) => runs.map(({ from, to }) => photos.tileRange(tileNumber(from), tileNumber(to)));
  return (
    <p className="coverage-words">
      {(once.length + never.length === 0
        ? [photos.allTwice]
        : [
            twice.length > 0 && photos.twice(names(twice)),
            once.length > 0 && photos.once(names(once)),
            never.length > 0 && photos.never(names(never)),
          ]
      )
        .filter(Boolean)
        .join(' ')}{' '}
      <span className="hint">{photos.coverageKey}</span>
    </p>
  );
}
