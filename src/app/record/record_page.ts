import type { RodVerdict } from '../../verdict/report.ts';
import type { RecordContent } from './record_content.ts';
import { recordPageStyle } from './record_page_style.ts';
import { itemWords } from '../words/items_words.ts';
import { recordWords } from '../words/record_words.ts';

/** The record's pictures as data URLs; one that could not be had is left out. */
export interface PagePictures {
  ribbon?: string | undefined;
  /** in the order of the close-ups */
  closeUps: readonly (string | undefined)[];
}

/** Text as it may stand in an element or in an attribute between quotes. */
export const plain = (text: string): string =>
  text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;');

/** What a record's page says round its tables. */
interface PageFrame {
  title: string;
  stage: string;
  verdict: RodVerdict;
  answer: string;
  warning: string;
  facts: RecordContent['facts'];
  /** markup, from top to bottom */
  body: readonly string[];
}

/** A page that needs nothing beside it: style inside, no script; its own policy lets it fetch nothing. */
export const htmlPage = ({ title, stage, verdict, answer, warning, facts, body }: PageFrame): string =>
  `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<title>${plain(title)}: ${plain(stage)}</title>
<style>${recordPageStyle}</style>
</head>
<body>
<main>
<header><h1>${plain(title)}</h1><p>${plain(stage)}</p></header>
<p class="verdict ${verdict}">${plain(answer)}</p>
${warning && `<p class="warning">${plain(warning)}</p>`}
<dl>${facts.map(([name, fact]) => `<div><dt>${plain(name)}</dt><dd>${plain(fact)}</dd></div>`).join('')}</dl>
${body.join('\n')}
<p class="small">${plain(recordWords.made)}</p>
</main>
</body>
</html>
`;

/** The record of one check as a page of its own, its pictures inside. */
export function recordPage(content: RecordContent, pictures: PagePictures): string {
  const { stale, sentences, sign } = content;
  return htmlPage({
    ...content,
    warning: stale ? recordWords.stale : sign ? '' : content.unsigned,
    body: [tableOf(content), listOf(sentences), picturesOf(content, pictures), sign ? signatureOf(sign.by) : ''],
  });
}

export const listOf = (sentences: readonly string[]): string =>
  sentences.length > 0 ? `<ul>${sentences.map((sentence) => `<li>${plain(sentence)}</li>`).join('')}</ul>` : '';

export const picturesOf = (content: RecordContent, pictures: PagePictures): string =>
  `${ribbonOf(content, pictures)}\n${closeUpsOf(content, pictures)}`;

export const tableOf = ({ columns, rows, meaning }: RecordContent): string =>
  `<div class="table" role="region" aria-label="${plain(recordWords.table)}" tabindex="0"><table>
<thead><tr>${columns.map((column) => `<th scope="col">${plain(column)}</th>`).join('')}</tr></thead>
<tbody>${rows
    .map(
      ([place = '', ...cells]) =>
        `<tr><th scope="row">${plain(place)}</th>${cells.map((cell) => `<td>${plain(cell)}</td>`).join('')}</tr>`,
    )
    .join('\n')}</tbody>
</table></div>
<p class="small">${plain(meaning)}</p>`;

function ribbonOf({ ribbon }: RecordContent, pictures: PagePictures): string {
  if (!ribbon || pictures.ribbon === undefined) return '';
  return `<img class="ribbon" src="${pictures.ribbon}" width="${ribbon.width}" height="${ribbon.height}" alt="${plain(recordWords.straightened)}">`;
}

function closeUpsOf({ closeUps }: RecordContent, pictures: PagePictures): string {
  const figures = closeUps.map(({ id, file, picture, rims, sought }, i) => {
    const data = pictures.closeUps[i];
    if (data === undefined) return '';
    const { width, height } = picture;
    const words = sought ? itemWords.soughtUp(id, file) : itemWords.closeUp(id, file);
    // pixel (0, 0) is the centre of the first pixel
    const path = rims.map((rim) => `M${rim.map(([x, y]) => `${x + 0.5} ${y + 0.5}`).join('L')}`).join('');
    const line = (name: string) =>
      `<path class="${name}${sought ? ' sought' : ''}" d="${path}" vector-effect="non-scaling-stroke"/>`;
    return `<figure><svg viewBox="0 0 ${width} ${height}" role="img" aria-label="${plain(words)}"><image href="${data}" width="${width}" height="${height}"/>${line('under')}${line('rim')}</svg><figcaption>${plain(id)}</figcaption></figure>`;
  });
  return figures.some(Boolean) ? `<div class="pictures">${figures.join('\n')}</div>` : '';
}

export const signatureOf = (by: string): string =>
  `<div class="signature"><p>${plain(recordWords.signed)}${by && `, ${plain(by)}`}</p><p>${plain(recordWords.date)}</p></div>`;
