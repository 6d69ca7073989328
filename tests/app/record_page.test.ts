import fc from 'fast-check';
import sharp from 'sharp';
import { expect, test } from 'vitest';
import { recordContent } from '../../src/app/record/record_content.ts';
import { newBuild } from '../../src/app/files/new_build.ts';
import { recordFile, rodRecordFile } from '../../src/app/record/record_file.ts';
import { recordPage } from '../../src/app/record/record_page.ts';
import { type RodRecordContent, rodRecordContent } from '../../src/app/record/rod_record_content.ts';
import { planOfPiece } from '../../src/plan/pieces/pieces.ts';
import { defaultTolerance, type Plan } from '../../src/plan/plan.ts';
import type { KeptCheck } from '../../src/store/build.ts';
import { checkedParts } from '../../src/store/rod_checks.ts';
import type { ReportItem } from '../../src/verdict/report.ts';
import { settling } from '../../src/verdict/advice.ts';

const item = (id: string, more: Partial<ReportItem> = {}): ReportItem => ({
  id,
  kind: 'guide',
  planned: 100,
  found: true,
  along: { value: 100.3, expanded: 0.4 },
  alongVerdict: 'on',
  roll: { value: -0.04, expanded: 0.3 },
  rollVerdict: 'on',
  guideVerdict: 'as-planned',
  ...more,
});

function checkOf(title: string, items: ReportItem[], notes: string[] = []): KeptCheck {
  return {
    id: 'check',
    buildId: 'build',
    at: '2026-11-20T10:00:00.000Z',
    plan: {
      title,
      unit: 'mm',
      blank: { length: 1400, tipDiameter: 2, buttDiameter: 12, finish: 'dark' },
      positions: items.map(({ id, planned }) => ({ id, kind: 'guide', at: planned })),
      tolerance: defaultTolerance,
    },
    shoot: { stage: 'rings', photos: ['1.jpg'], mat: {}, rest: { kind: 'flat' }, rollReference: 'seat-card' },
    photoIds: {},
    report: {
      schema: 'prewrap.report/1',
      unit: 'mm',
      stage: 'rings',
      verdict: items.every((one) => one.alongVerdict === 'on') ? 'ready' : 'reshoot',
      items,
      extras: [],
      photos: [],
      scale: { along: 1, across: 1, expanded: 0.0002 },
      notes,
    },
    evidence: { photos: [], rings: [], closeUps: [] },
  };
}
const contentOf = (check: KeptCheck, current = true, by = '') =>
  recordContent({
    check,
    begun: '2026-11-01T10:00:00.000Z',
    document: { lengths: 'mm', thread: '#1f5f8b' },
    current,
    by,
  });

/** What a page's markup says when read: tags out, entities back. */
const spoken = (page: string) =>
  page
    .replaceAll(/<[^>]*>/g, '\n')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&');

test('whatever names and notes hold, the page says them as they are and has no element of theirs', () => {
  const text = fc.string({ unit: 'binary-ascii', minLength: 1, maxLength: 30 }).filter((one) => one.trim() !== '');
  const nasty = fc.constantFrom(
    '</style><script>alert(1)</script>',
    '"><img src=x onerror=alert(1)>',
    "'&amp;<",
    '-->',
  );
  const any = fc.oneof(text, nasty);
  const frame = recordPage(contentOf(checkOf('Rod', [item('G1')], ['note'])), { closeUps: [] });
  const tags = (page: string) => page.match(/<[^>]*>/g)?.length;
  fc.assert(
    fc.property(any, any, any, any, (title, id, note, by) => {
      const page = recordPage(contentOf(checkOf(title, [item(id)], [note]), true, by), { closeUps: [] });
      expect(tags(page)).toBe(tags(frame));
      for (const said of [title.trim(), id, note, by.trim()]) expect(spoken(page)).toContain(said);
    }),
  );
});

test('advice that is the same for several places stands once; a roll of nothing has no side', () => {
  const open = (id: string) => item(id, { alongVerdict: 'unsure', advice: settling.scale([id]) });
  const content = contentOf(checkOf('Rod', [item('G1'), open('G2'), open('G3')], ['3 guides planned, all found.']));
  expect(content.sentences).toEqual([settling.scale(['G2', 'G3']), '3 guides planned, all found.']);
  expect(content.rows.map((row) => row[4])).toEqual(['0.0° ± 0.3', '0.0° ± 0.3', '0.0° ± 0.3']);
  expect(content.sign).toBeUndefined();
});

test('only what is ready and unchanged since has a line to sign, with the name under it', () => {
  const check = checkOf('Rod', [item('G1')]);
  expect(contentOf(check, true, ' A. Builder ').sign).toEqual({ by: 'A. Builder' });
  expect(contentOf(check, false, 'A. Builder').sign).toBeUndefined();
  expect(recordPage(contentOf(check, false), { closeUps: [] })).toContain('changed since this check');
});

test('a picture of no known kind is left out, and nothing else of the page', async () => {
  const check = checkOf('Rod', [item('G1')]);
  const image = new Blob([new Uint8Array([1, 2, 3])]);
  check.evidence.closeUps = [{ id: 'G1', file: '1.jpg', rims: [], picture: { width: 8, height: 8, image } }];
  const page = await (await recordFile(contentOf(check))).text();
  expect(page).not.toContain('<figure>');
  expect(page).toContain('Ready to wrap.');
});

const twoPieces: Plan = {
  title: 'Rod & "pieces"',
  unit: 'mm',
  blank: { length: 2000, tipDiameter: 2, buttDiameter: 14, finish: 'dark' },
  positions: [400, 1400].map((at, k) => ({
    id: `G${k + 1}`,
    kind: 'guide',
    at,
    guide: { ringOuter: 10, ringInner: 7, height: 9, lean: 0, foot: 'single' },
  })),
  joints: [{ kind: 'sleeve', at: 1000, length: 80 }],
  tolerance: defaultTolerance,
};
const onePixel = new Uint8Array(
  await sharp({ create: { width: 1, height: 1, channels: 3, background: '#888' } })
    .jpeg()
    .toBuffer(),
);

/** The record of the rod when pieces have had a check each. */
function rodOf(pieces: readonly number[], by = ''): RodRecordContent {
  const document = newBuild({ plan: twoPieces }).document;
  const checks = pieces.map((piece): KeptCheck => {
    const plan = planOfPiece(twoPieces, piece);
    const check = checkOf(plan.title, [item(`G${piece}`)], [`a note on piece ${piece}`]);
    const image = new Blob([onePixel]);
    return {
      ...check,
      id: `check ${piece}`,
      plan,
      shoot: { ...check.shoot, piece },
      evidence: {
        ...check.evidence,
        closeUps: [{ id: `G${piece}`, file: '1.jpg', rims: [], picture: { width: 8, height: 8, image } }],
      },
    };
  });
  return rodRecordContent(document, checkedParts(document, checks), { begun: '2026-11-01T10:00:00.000Z', by });
}

test('the record of a rod in pieces is one page: each piece with its table, and one line to sign', async () => {
  const page = await (await rodRecordFile(rodOf([1, 2], ' A. Builder '))).text();
  const said = spoken(page);
  for (const text of [
    'Rod & "pieces"',
    'Piece 1 of 2, with the tip',
    'Piece 2 of 2, with the butt',
    'a note on piece 1',
    'a note on piece 2',
    'The joints were not checked',
    'A. Builder',
  ])
    expect(said).toContain(text);
  expect(page.match(/<table>/g)).toHaveLength(2);
  expect(page.match(/<figure>.*href="data:image\/jpeg/g)).toHaveLength(2);
  expect(page.match(/class="signature"/g)).toHaveLength(1);
  expect(page).not.toMatch(/<script|https?:\/\/|Nothing to sign/);
});

test('a piece without a check is said to have none, and there is nothing to sign', async () => {
  const page = await (await rodRecordFile(rodOf([2]))).text();
  expect(spoken(page)).toContain('Not checked yet.');
  expect(spoken(page)).toContain('Nothing to sign yet');
  expect(page.match(/<table>/g)).toHaveLength(1);
  expect(page).not.toContain('class="signature"');
});
