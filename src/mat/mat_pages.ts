import type { PageDrawing, Rectangle, Shape } from './page_drawing.ts';
import { isWhiteCell } from './tag36h11.ts';
import {
  maximumTiles,
  type PaperName,
  paperSizes,
  rowLength,
  rowsBreadth,
  seatCard,
  type TilePoint,
  tagCells,
  tagPlace,
  tagSide,
  tileNumber,
  tileTagIds,
} from './tile.ts';

/** Everything to print for a mat of this many tiles: a page for each tile, then the seat card's page. */
export function matPages(paper: PaperName, tiles: number): PageDrawing[] {
  if (!Number.isInteger(tiles) || tiles < 1 || tiles > maximumTiles) {
    throw new RangeError(`a mat has 1 to ${maximumTiles} tiles, not ${tiles}`);
  }
  return [...Array.from({ length: tiles }, (_, tile) => tilePage(paper, tile, tiles)), seatCardPage(paper)];
}

/**
 * One tile of the mat: ten tags, its number, and one line that says how to print and measure it; the lane stays white.
 */
export function tilePage(paper: PaperName, tile: number, tiles: number): PageDrawing {
  const { width, height } = paperSizes[paper];
  const number = tileNumber(tile);
  const note = `Tile ${number} of ${tiles}, ${paper}. Print at 100 %; measure the row of squares from outer edge to outer edge (${rowLength} mm) and across both rows (${rowsBreadth} mm).`;
  return {
    title: `Tile ${number}`,
    width,
    height,
    shapes: [
      ...tileTagIds(tile).flatMap((id) => [...tagShapes(id, tagPlace(id)!.centre, tagSide), tagNumber(id)]),
      text([-75 - 1.95 * String(number).length, -74.5], 7, String(number)),
      text([-112, -97.5], 3, note),
    ],
  };
}

/** The tag's number stands outside the white border that the tag needs, on the page's side of it. */
function tagNumber(id: number): Shape {
  const { row, centre } = tagPlace(id)!;
  return text([centre[0] - 0.7 * String(id).length, row === 'top' ? 89 : -91], 2.5, String(id));
}

/** The page with two seat cards, one to spare, to be cut out along their crop marks. */
export function seatCardPage(paper: PaperName): PageDrawing {
  const { width, height } = paperSizes[paper];
  return {
    title: 'Seat card',
    width,
    height,
    shapes: [
      text([-112, 74], 5, 'Seat card'),
      text(
        [-112, 66],
        3,
        'Print at 100 %. Glue to stiff flat card and cut along the marks; the second one is a spare.',
      ),
      text([-112, 61], 3, "Hold it flat in the reel seat as a reel's foot sits, arrow toward the tip."),
      ...seatCardShapes([-60, 20]),
      ...seatCardShapes([-60, -40]),
    ],
  };
}

function seatCardShapes([u, v]: TilePoint): Shape[] {
  const tags = seatCard.ids.flatMap((id, i) => {
    const [du, dv] = seatCard.centres[i]!;
    return tagShapes(id, [u + du, v + dv], seatCard.tagSide);
  });
  const at = (du: number, dv: number): TilePoint => [u + du, v + dv];
  // The arrow stands between the tags, with the white that each of them needs left free.
  const arrow = [
    { from: at(-4, 0), to: at(4, 0), thickness: 0.4 },
    { from: at(-4, 0), to: at(-2, 1.5), thickness: 0.4 },
    { from: at(-4, 0), to: at(-2, -1.5), thickness: 0.4 },
  ];
  return [...tags, { kind: 'lines', lines: [...arrow, ...cropMarks([u, v])] }, text(at(-1.6, 2.5), 2.5, 'tip')];
}

/** Crop marks start 1 mm outside the card, so that none of them stays on it. */
function cropMarks([u, v]: TilePoint) {
  const [gap, length, thickness] = [1, 8, 0.15];
  return [-1, 1].flatMap((a) =>
    [-1, 1].flatMap((b) => {
      const cornerU = u + (a * seatCard.width) / 2;
      const cornerV = v + (b * seatCard.height) / 2;
      return [
        {
          from: [cornerU + a * gap, cornerV] as const,
          to: [cornerU + a * (gap + length), cornerV] as const,
          thickness,
        },
        {
          from: [cornerU, cornerV + b * gap] as const,
          to: [cornerU, cornerV + b * (gap + length)] as const,
          thickness,
        },
      ];
    }),
  );
}

const text = (at: TilePoint, size: number, words: string): Shape => ({ kind: 'text', at, size, text: words });

/** A tag: its black square, and on it the white cells, neighbours in a row joined. */
function tagShapes(id: number, [u, v]: TilePoint, side: number): Shape[] {
  const cell = side / tagCells;
  const white: Rectangle[] = [];
  for (let row = 0; row < tagCells; row++) {
    for (let column = 0; column < tagCells; column++) {
      if (!isWhiteCell(id, row, column)) continue;
      const start = column;
      while (isWhiteCell(id, row, column + 1)) column++;
      white.push({
        u: u - side / 2 + start * cell,
        v: v + side / 2 - (row + 1) * cell,
        width: (column - start + 1) * cell,
        height: cell,
      });
    }
  }
  return [
    {
      kind: 'rectangles',
      colour: 'black',
      rectangles: [{ u: u - side / 2, v: v - side / 2, width: side, height: side }],
    },
    { kind: 'rectangles', colour: 'white', rectangles: white },
  ];
}
