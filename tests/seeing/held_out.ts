import { readFileSync } from 'node:fs';
import sharp from 'sharp';
import * as z from 'zod/mini';
import { isWhole } from '../../src/vision/finder/peaks.ts';
import { emptyPlanes, type Planes } from '../../src/vision/finder/resample.ts';

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

/** Reads one picture of the list with its classes. */
export async function readHeldOut(entry: ReturnType<typeof heldOutEntries>[number]): Promise<HeldOut> {
  const read = (ending: string) => sharp(readFileSync(new URL(`${entry.name}${ending}`, folder)));
  const { data, info } = await read('.webp').removeAlpha().raw().toBuffer({ resolveWithObject: true });
  const classes = await read('.png').extractChannel(0).raw().toBuffer();
  const planes = emptyPlanes(info.height, info.width);
  const plane = planes.rows * planes.width;
  for (let row = 0; row < info.height; row++)
    for (let column = 0; column < info.width; column++)
      for (let c = 0; c < 3; c++)
        planes.data[c * plane + row * planes.width + column] = data[(row * info.width + column) * 3 + c]! / 255;
  const things = entry.things.map(({ foot, ...thing }) => ({
    ...thing,
    foot: { tip: foot[0], butt: foot[1] },
    visible: isWhole(thing, entry.columns) ? thing.visible : 0,
  }));
  return { name: entry.name, rod: entry.rod, planes, classes: new Uint8Array(classes), things };
}
