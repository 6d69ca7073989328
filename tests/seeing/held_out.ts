import { readFileSync } from 'node:fs';
import sharp from 'sharp';
import * as z from 'zod/mini';
import { isWhole } from '../../src/vision/finder/peaks.ts';
import { emptyPlanes, type Planes } from '../../src/vision/finder/resample.ts';
import { tipSampling } from '../../src/vision/finder/sheet.ts';

/** A picture that no network was trained on, with what is in it; places and radii in the picture's samples. */
export interface HeldOut {
  name: string;
  rod: number;
  planes: Planes;
  /** what the generator laid at each cell of the network's output (index into `classNames`, 255 = not in the photo) */
  classes: Uint8Array;
  things: Thing[];
}

export interface Thing {
  kind: 'ring' | 'tip-top' | 'snake' | 'tip';
  column: number;
  row: number;
  radius: number;
  foot: { tip: number; butt: number };
  /** share of it that the photo shows, 0 to 1; 0 of what the picture's end cuts */
  visible: number;
}

const entriesSchema = z.array(
  z.object({
    name: z.string(),
    rod: z.number(),
    columns: z.number(),
    things: z.array(
      z.object({
        kind: z.enum(['ring', 'tip-top', 'snake', 'tip']),
        column: z.number(),
        row: z.number(),
        radius: z.number(),
        foot: z.tuple([z.number(), z.number()]),
        visible: z.number(),
      }),
    ),
  }),
);

const folder = new URL('../../fixtures/seeing/', import.meta.url);

/** The list of held-out strips or lanes, pictures not yet read. */
export const heldOutEntries = (kind: 'strips' | 'lanes') =>
  entriesSchema.parse(JSON.parse(readFileSync(new URL(`${kind}.json`, folder), 'utf8')));

/** A strip along a tip end that the network was never taught, and where the end lies in it, samples. */
export interface HeldOutTip {
  rod: number;
  planes: Planes;
  /** undefined where it shows none */
  end: { column: number; row: number } | undefined;
}

const tipsSchema = z.array(
  z.object({ rod: z.number(), seen: z.boolean(), column: z.optional(z.number()), row: z.optional(z.number()) }),
);

/** All held-out strips of tip ends, each cut to the columns that the network looks at, the end wherever that falls. */
export async function heldOutTips(): Promise<HeldOutTip[]> {
  const entries = tipsSchema.parse(JSON.parse(readFileSync(new URL('tips.json', folder), 'utf8')));
  const { data, info } = await sharp(readFileSync(new URL('tips.webp', folder)))
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  const { rows, columns } = tipSampling;
  return entries.map(({ rod, column, row }, k) => {
    const from = (37 * k) % (info.width - columns + 1);
    const picture = { data, width: info.width, from, top: k * rows };
    const shows = column !== undefined && row !== undefined;
    return { rod, planes: planesOf(picture, rows, columns), end: shows ? { column: column - from, row } : undefined };
  });
}

/** A part of a picture of bytes (red, green, blue for each sample, row by row) as the networks take it. */
function planesOf(
  { data, width, from, top }: { data: Uint8Array; width: number; from: number; top: number },
  rows: number,
  columns: number,
): Planes {
  const planes = emptyPlanes(rows, columns);
  const plane = planes.rows * planes.width;
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++)
      for (let c = 0; c < 3; c++)
        planes.data[c * plane + row * planes.width + column] =
          data[((top + row) * width + from + column) * 3 + c]! / 255;
  return planes;
}

/** Reads one picture of the list with its classes. */
export async function readHeldOut(entry: ReturnType<typeof heldOutEntries>[number]): Promise<HeldOut> {
  const read = (ending: string) => sharp(readFileSync(new URL(`${entry.name}${ending}`, folder)));
  const { data, info } = await read('.webp').removeAlpha().raw().toBuffer({ resolveWithObject: true });
  const classes = await read('.png').extractChannel(0).raw().toBuffer();
  const planes = planesOf({ data, width: info.width, from: 0, top: 0 }, info.height, info.width);
  const things = entry.things.map(({ foot, ...thing }) => ({
    ...thing,
    foot: { tip: foot[0], butt: foot[1] },
    visible: isWhole(thing, entry.columns) ? thing.visible : 0,
  }));
  return { name: entry.name, rod: entry.rod, planes, classes: new Uint8Array(classes), things };
}
