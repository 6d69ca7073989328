import type { PageDrawing, Shape } from './page_drawing.ts';

/** PDF's unit is the point, 1/72 inch (ISO 32000-2, 8.3.2.3). */
const pointsPerMm = 72 / 25.4;

const number = (value: number, digits: number): string => String(Number(value.toFixed(digits)) + 0);
const mm = (value: number): string => number(value, 3);

/**
 * Pages as a PDF file of their true size (ISO 32000-2): each page's own coordinates are millimetres from its centre, u
 * right, v up, and the file asks the viewer to print it unscaled, on one side.
 *
 * @param title ASCII
 */
export function pagesPdf(title: string, pages: readonly PageDrawing[]): Uint8Array<ArrayBuffer> {
  const firstPage = 4;
  const pageObject = (i: number): number => firstPage + 2 * i;
  const objects = [
    '<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None /Duplex /Simplex >> >>',
    `<< /Type /Pages /Count ${pages.length} /Kids [${pages.map((_, i) => `${pageObject(i)} 0 R`).join(' ')}] >>`,
    '<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>',
    ...pages.flatMap((page, i) => [pageDictionary(page, pageObject(i) + 1), stream(pageContent(page))]),
    `<< /Title (${escapeString(title)}) /Producer (Prewrap) >>`,
  ];
  return assemble(objects, objects.length);
}

function pageDictionary({ width, height }: PageDrawing, content: number): string {
  const box = `[0 0 ${number(width * pointsPerMm, 5)} ${number(height * pointsPerMm, 5)}]`;
  return `<< /Type /Page /Parent 2 0 R /MediaBox ${box} /Resources << /Font << /F1 3 0 R >> >> /Contents ${content} 0 R >>`;
}

const stream = (content: string): string => `<< /Length ${content.length} >>\nstream\n${content}\nendstream`;

function pageContent({ width, height, shapes }: PageDrawing): string {
  const scale = number(pointsPerMm, 9);
  const centre = `${number((width / 2) * pointsPerMm, 5)} ${number((height / 2) * pointsPerMm, 5)}`;
  return [`${scale} 0 0 ${scale} ${centre} cm`, ...shapes.flatMap(shapeOperators)].join('\n');
}

function shapeOperators(shape: Shape): string[] {
  switch (shape.kind) {
    case 'rectangles':
      return [
        shape.colour === 'black' ? '0 g' : '1 g',
        ...shape.rectangles.map((r) => `${mm(r.u)} ${mm(r.v)} ${mm(r.width)} ${mm(r.height)} re`),
        'f',
      ];
    case 'lines':
      return shape.lines.map(
        ({ from, to, thickness }) => `${mm(thickness)} w ${mm(from[0])} ${mm(from[1])} m ${mm(to[0])} ${mm(to[1])} l S`,
      );
    case 'text':
      return [
        `BT 0 g /F1 ${mm(shape.size)} Tf ${mm(shape.at[0])} ${mm(shape.at[1])} Td (${escapeString(shape.text)}) Tj ET`,
      ];
  }
}

const escapeString = (words: string): string => words.replace(/[\\()]/g, (character) => `\\${character}`);

/** Numbers the objects from 1 and writes header, bodies, cross-reference table and trailer; all of it is ASCII. */
function assemble(objects: readonly string[], information: number): Uint8Array<ArrayBuffer> {
  let text = '%PDF-1.4\n';
  const offsets: number[] = [];
  objects.forEach((body, i) => {
    offsets.push(text.length);
    text += `${i + 1} 0 obj\n${body}\nendobj\n`;
  });
  const table = text.length;
  const entries = offsets.map((offset) => `${String(offset).padStart(10, '0')} 00000 n \n`).join('');
  text += `xref\n0 ${objects.length + 1}\n0000000000 65535 f \n${entries}`;
  text += `trailer\n<< /Size ${objects.length + 1} /Root 1 0 R /Info ${information} 0 R >>\nstartxref\n${table}\n%%EOF\n`;
  return Uint8Array.from(text, (character) => character.charCodeAt(0));
}
