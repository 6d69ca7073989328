import { pieceWords } from '../words/piece_words.ts';
import { recordWords } from '../words/record_words.ts';
import { htmlPage, listOf, type PagePictures, picturesOf, plain, signatureOf, tableOf } from './record_page.ts';
import type { RodRecordContent, RodRecordPart } from './rod_record_content.ts';

/**
 * The record of a rod in pieces as one HTML page that needs nothing beside it, as `recordPage`.
 *
 * @param pictures those of each part, in the order of the parts
 */
export function rodRecordPage(content: RodRecordContent, pictures: readonly PagePictures[]): string {
  const { title, ready, answer, facts, parts, joints, sign } = content;
  return htmlPage({
    title,
    stage: pieceWords.record,
    verdict: ready ? 'ready' : 'reshoot',
    answer,
    warning: sign ? '' : recordWords.notReady,
    facts,
    body: [
      ...parts.map((part, k) => partOf(part, pictures[k] ?? { closeUps: [] })),
      joints ? `<p>${plain(joints)}</p>` : '',
      sign ? signatureOf(sign.by) : '',
    ],
  });
}

const partOf = ({ name, says, old, content }: RodRecordPart, pictures: PagePictures): string =>
  `<section><h2>${plain(name)}</h2>
<p>${plain(says)}</p>
${old ? `<p class="warning">${plain(old)}</p>` : ''}
${content ? [tableOf(content), listOf(content.sentences), picturesOf(content, pictures)].join('\n') : ''}</section>`;
