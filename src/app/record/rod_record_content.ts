import { guidesAreOn } from '../../plan/shoot.ts';
import type { BuildDocument } from '../../store/build.ts';
import { type CheckedPart, isRodReady } from '../../store/rod_checks.ts';
import { buildsWords } from '../words/builds_words.ts';
import { pieceWords } from '../words/piece_words.ts';
import { recordWords } from '../words/record_words.ts';
import { factsPlanned, type RecordContent, recordContent } from './record_content.ts';

/** What one record of a rod in pieces says: on the screen, on paper and in a file alike. */
export interface RodRecordContent {
  title: string;
  ready: boolean;
  answer: string;
  facts: [name: string, fact: string][];
  /** each piece from tip to butt, then the rod put together where it was shot so */
  parts: RodRecordPart[];
  /** what is to be known of the joints beyond the parts */
  joints?: string;
  /** all is ready: a line to sign, with the name under it */
  sign?: { by: string };
}

export interface RodRecordPart {
  name: string;
  /** what its check says and when, or that there is none */
  says: string;
  /** the check speaks of what was planned before */
  old?: string;
  content?: RecordContent;
}

const day = new Intl.DateTimeFormat(undefined, { dateStyle: 'long', timeStyle: 'short' });

/** @param begun ISO 8601 @param by who checked it */
export function rodRecordContent(
  document: Pick<BuildDocument, 'plan' | 'lengths' | 'thread'>,
  parts: readonly CheckedPart[],
  { begun, by }: { begun: string; by: string },
): RodRecordContent {
  const { lengths, plan } = document;
  const ready = isRodReady(parts);
  const together = parts.find(({ piece }) => piece === undefined);
  return {
    title: plan.title.trim() || buildsWords.untitled,
    ready,
    answer: ready ? pieceWords.ready : pieceWords.open,
    facts: [[recordWords.begun, day.format(new Date(begun))], ...factsPlanned(plan, lengths)],
    // the rod put together is said once below where it was not shot
    parts: parts
      .filter(({ piece, check }) => piece !== undefined || check)
      .map((part) => partOf(part, parts.length - 1, document, begun)),
    ...(!together?.check && { joints: pieceWords.jointsUnchecked }),
    ...(ready && { sign: { by: by.trim() } }),
  };
}

function partOf(
  { piece, check, standing, guides }: CheckedPart,
  of: number,
  document: Pick<BuildDocument, 'lengths' | 'thread'>,
  begun: string,
): RodRecordPart {
  const name = piece === undefined ? pieceWords.recordTogether : pieceWords.piece(piece, of);
  if (!check) return { name, says: guides ? pieceWords.unchecked : pieceWords.noPlaces };
  const content = recordContent({ check, begun, document, current: standing, by: '' });
  const marksOnly = guidesAreOn(check.report.stage) ? '' : ` ${pieceWords.marksOnly}`;
  return {
    name,
    says: `${content.answer} ${recordWords.checked} ${day.format(new Date(check.at))}.${marksOnly}`,
    ...(content.stale && { old: pieceWords.old }),
    content,
  };
}
