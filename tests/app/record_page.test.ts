import fc from 'fast-check';
import { expect, test } from 'vitest';
import { recordContent } from '../../src/app/record/record_content.ts';
import { recordFile } from '../../src/app/record/record_file.ts';
import { recordPage } from '../../src/app/record/record_page.ts';
import { defaultTolerance } from '../../src/plan/plan.ts';
import type { KeptCheck } from '../../src/store/build.ts';
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
