import { paperSizes, type PaperName, tagSide, tagsPerRow, tileNumber, tileTagIds, tagPlace } from '../mat/tile.ts';
import { columnCounts, coveredTiles, type Tiles } from './photo_coverage.ts';
import type { Columns, PhotoView } from './photo_view.ts';
import { words } from './words.ts';

interface Mat {
  paper: PaperName;
  tiles: number;
}

/**
 * The mat from above with the rod on it: hatched where one photo shows it, filled where two or more do; `live` brackets
 * what the camera sees now.
 */
export function CoverageDrawing({ views, mat, live }: { views: readonly PhotoView[]; mat: Mat; live?: Columns }) {
  const { width, height } = paperSizes[mat.paper];
  const total = width * mat.tiles;
  const counts = columnCounts(views, mat.tiles);
  const edges = counts.map((_, column) => columnEdge(column, width, total));
  const right = (column: number) => edges[column + 1] ?? total;
  const line = total / 260;
  return (
    <svg
      className="coverage-drawing"
      viewBox={`${-line} ${-line} ${total + 2 * line} ${height + 2 * line}`}
      strokeWidth={line}
      aria-hidden="true"
    >
      <defs>
        <pattern id="once" width={4 * line} height={4 * line} patternUnits="userSpaceOnUse">
          <path className="coverage-hatch" d={`M0 ${4 * line}L${4 * line} 0`} strokeWidth={line} />
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
          <text
            className="coverage-number"
            x={(tile + 0.5) * width}
            y={height * 0.36}
            fontSize={Math.max(34, total / 34)}
          >
            {tileNumber(tile)}
          </text>
        </g>
      ))}
      {counts.map((count, column) => (
        <rect
          key={edges[column]}
          className={count > 1 ? 'coverage-twice' : 'coverage-once'}
          visibility={count > 0 ? undefined : 'hidden'}
          fill={count > 1 ? undefined : 'url(#once)'}
          x={edges[column]}
          y={height * 0.44}
          width={right(column) - edges[column]!}
          height={height * 0.24}
        />
      ))}
      <path
        className="coverage-rod"
        d={`M${width * 0.05} ${height * 0.56}H${total - width * 0.05}`}
        strokeWidth={2 * line}
      />
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
  if (once.length + never.length === 0) return <p className="coverage-words">{photos.allTwice}</p>;
  return (
    <p className="coverage-words">
      {[
        twice.length > 0 && photos.twice(names(twice)),
        once.length > 0 && photos.once(names(once)),
        never.length > 0 && photos.never(names(never)),
      ]
        .filter(Boolean)
        .join(' ')}
    </p>
  );
}
