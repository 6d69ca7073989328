import { basename, extname, join } from 'node:path';
import sharp from 'sharp';
import type { Pixel } from '../geometry/vector.ts';
import type { Picture } from '../photo/photo.ts';
import { type Plan, planStart } from '../plan/plan.ts';
import type { Evidence, PhotoEvidence, Ribbon } from '../verdict/evidence.ts';
import type { Report, ReportItem } from '../verdict/report.ts';
import { stateText } from '../verdict/report_table.ts';
import { openOutput } from './outputs.ts';
import { fromMillimetres } from '../plan/lengths/units.ts';

/** Photos are drawn at this width, pixels: enough to see a rim, small enough to mail. */
const overlayWidth = 2016;
const found = '#0b7a3b';
const planned = '#1f4fd8';
const wrong = '#b3261e';
const tagLine = '#8a5a00';

/**
 * Writes the pictures that prove a check: each photo with tags, axis and rims or marks; the straightened blank with
 * planned places above and found ones below; a close-up of each item in each photo kept.
 */
export async function writePictures(
  folder: string,
  plan: Plan,
  report: Report,
  evidence: Evidence,
  readPhoto: (name: string) => Promise<Uint8Array>,
): Promise<void> {
  for (const photo of evidence.photos) {
    const name = `photo-${basename(photo.file, extname(photo.file))}.jpg`;
    await put(join(folder, name), await overlay(photo, await readPhoto(photo.file)));
  }
  if (evidence.ribbon) await put(join(folder, 'blank.png'), await ribbonPicture(plan, report, evidence.ribbon));
  const counts = new Map<string, number>();
  for (const closeUp of evidence.closeUps) {
    const n = (counts.get(closeUp.id) ?? 0) + 1;
    counts.set(closeUp.id, n);
    const lines = closeUp.rims.map((line) => polyline(line, found, 1)).join('');
    const { width, height } = closeUp.picture;
    // Three times as large, so that the drawn rim is finer than the photo's pixels.
    const svg = svgOf(width * 3, height * 3, `<g transform="scale(3) translate(0.5 0.5)">${lines}</g>`);
    const base = await raw(closeUp.picture)
      .resize(width * 3, height * 3, { kernel: 'nearest' })
      .png()
      .toBuffer();
    const picture = await sharp(base)
      .composite([{ input: svg }])
      .png()
      .toBuffer();
    await put(join(folder, `${closeUp.id.replaceAll(/[^A-Za-z0-9_-]+/g, '-')}-${n}.png`), picture);
  }
}

/** Writes one picture whole. Throws InputError where there is no room or no right. */
const put = async (path: string, picture: Uint8Array): Promise<void> => (await openOutput(path)).write(picture);

const raw = ({ width, height, rgba }: Picture) =>
  sharp(Buffer.from(rgba.buffer), { raw: { width, height, channels: 4 } });

const svgOf = (width: number, height: number, content: string) =>
  Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}">${content}</svg>`);

const polyline = (points: readonly Pixel[], colour: string, width: number) =>
  `<polyline fill="none" stroke="${colour}" stroke-width="${width}" points="${points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(' ')}"/>`;

const label = ([x, y]: Pixel, size: number, text: string, colour: string) =>
  `<text x="${x.toFixed(1)}" y="${y.toFixed(1)}" font-family="sans-serif" font-size="${size}" fill="${colour}" text-anchor="middle" paint-order="stroke" stroke="#fff" stroke-width="${size / 5}">${escape(text)}</text>`;

const escape = (text: string) => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');

async function overlay(photo: PhotoEvidence, bytes: Uint8Array): Promise<Buffer> {
  const k = Math.min(1, overlayWidth / photo.width);
  const width = Math.round(photo.width * k);
  const height = Math.round(photo.height * k);
  const line = 2 / k;
  const parts = [
    ...photo.tags.map((tag) => polyline([...tag.corners, tag.corners[0]!], tagLine, line)),
    ...photo.outlines.map((points) => polyline(points, found, line / 2)),
    polyline(photo.axis, planned, line / 2),
    ...photo.rings.flatMap((ring) => ring.rims.map((rim) => polyline(rim, found, line))),
    ...photo.marks.flatMap((mark) => mark.edges.map((edge) => polyline(edge, found, line))),
    ...[
      ...photo.rings.map((r) => ({ id: r.id, at: r.rims[0]?.[0] })),
      ...photo.marks.map((m) => ({ id: m.id, at: m.edges[0]?.[0] })),
    ].map(({ id, at }) => (at ? label([at[0], at[1] - 24 / k], 22 / k, id, found) : '')),
  ];
  const svg = svgOf(width, height, `<g transform="scale(${k})">${parts.join('')}</g>`);
  const upright = await sharp(bytes).rotate().resize(width, height).toBuffer();
  return sharp(upright)
    .composite([{ input: svg }])
    .jpeg({ quality: 85 })
    .toBuffer();
}

const stateColour = (item: ReportItem) => (item.alongVerdict === 'on' && item.rollVerdict !== 'off' ? found : wrong);

async function ribbonPicture(plan: Plan, report: Report, ribbon: Ribbon): Promise<Buffer> {
  const { width, height } = ribbon.picture;
  const start = planStart(plan);
  const x = (along: number) => (along - start - ribbon.from) * ribbon.pixelsPerMm;
  const above = 130;
  const below = 130;
  const parts: string[] = [];
  const step = plan.unit === 'in' ? 25.4 : 50;
  for (let s = 0; s <= plan.blank.length; s += step) {
    const at = x(s + start);
    parts.push(`<path d="M${at} ${above - 8}V${above}" stroke="#555" stroke-width="2"/>`);
    parts.push(label([at, above - 14], 20, String(Math.round(fromMillimetres(s + start, plan.unit))), '#555'));
  }
  for (const item of report.items) {
    const at = x(item.planned);
    parts.push(`<path d="M${at} ${above - 60}V${above + 14}" stroke="${planned}" stroke-width="3"/>`);
    parts.push(label([at, above - 68], 30, item.id, planned));
    if (!item.along) {
      parts.push(
        `<circle cx="${at}" cy="${above + height / 2}" r="28" fill="none" stroke="${wrong}" stroke-width="4" stroke-dasharray="8 7"/>`,
      );
      parts.push(label([at, above + height + 40], 26, stateText(item), wrong));
      continue;
    }
    const here = x(item.along.value);
    const colour = stateColour(item);
    parts.push(
      `<path d="M${here} ${above + height - 14}V${above + height + 20}" stroke="${colour}" stroke-width="3"/>`,
    );
    const off = fromMillimetres(item.along.value - item.planned, plan.unit);
    parts.push(
      label([here, above + height + 48], 26, `${off > 0 ? '+' : ''}${off.toFixed(plan.unit === 'in' ? 3 : 1)}`, colour),
    );
    if (item.roll)
      parts.push(label([here, above + height + 80], 24, `roll ${item.roll.value.toFixed(1)}\u00b0`, colour));
  }
  for (const extra of report.extras) {
    const here = x(extra.along.value);
    parts.push(`<path d="M${here} ${above + height - 14}V${above + height + 20}" stroke="${wrong}" stroke-width="3"/>`);
    parts.push(label([here, above + height + 48], 26, `extra ${extra.kind}`, wrong));
  }
  const total = above + height + below;
  return sharp({ create: { width, height: total, channels: 3, background: '#ffffff' } })
    .composite([
      { input: await raw(ribbon.picture).png().toBuffer(), left: 0, top: above },
      { input: svgOf(width, total, parts.join('')) },
    ])
    .png()
    .toBuffer();
}
