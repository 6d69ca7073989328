import type { PageDrawing, Shape } from './page_drawing.ts';

/** Micrometres are enough, and keep 0.1 + 0.2 out of the file. */
const mm = (value: number): string => String(Math.round(value * 1000) / 1000 + 0);

/** A page as an SVG document of its true size in millimetres; v runs up, SVG's y runs down. */
export function pageSvg(page: PageDrawing): string {
  const { width, height } = page;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${mm(width)}mm" height="${mm(height)}mm" viewBox="${mm(-width / 2)} ${mm(-height / 2)} ${mm(width)} ${mm(height)}">`,
    `<title>${page.title}</title>`,
    `<rect x="${mm(-width / 2)}" y="${mm(-height / 2)}" width="${mm(width)}" height="${mm(height)}" fill="#fff"/>`,
    ...page.shapes.map(shapeSvg),
    '</svg>',
  ].join('\n');
}

function shapeSvg(shape: Shape): string {
  switch (shape.kind) {
    case 'rectangles': {
      const path = shape.rectangles.map(
        (r) => `M${mm(r.u)} ${mm(-r.v)}h${mm(r.width)}v${mm(-r.height)}h${mm(-r.width)}z`,
      );
      return `<path d="${path.join('')}" fill="${shape.colour === 'black' ? '#000' : '#fff'}"/>`;
    }
    case 'lines':
      return shape.lines
        .map(
          ({ from, to, thickness }) =>
            `<path d="M${mm(from[0])} ${mm(-from[1])}L${mm(to[0])} ${mm(-to[1])}" stroke="#000" stroke-width="${mm(thickness)}"/>`,
        )
        .join('\n');
    case 'text':
      return `<text x="${mm(shape.at[0])}" y="${mm(-shape.at[1])}" font-family="Helvetica, Arial, sans-serif" font-size="${mm(shape.size)}">${escapeXml(shape.text)}</text>`;
  }
}

const escapeXml = (words: string): string =>
  words.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
