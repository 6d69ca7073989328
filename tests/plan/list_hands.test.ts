import { expect, test } from 'vitest';
import { readPastedList } from '../../src/plan/lists/pasted_list.ts';
import { listHands } from './list_hands.ts';

interface Hand {
  unit: 'mm' | 'in';
  end?: number;
  asked: string[];
  lines: { text: string; reading: string }[];
}

const hands = listHands
  .trim()
  .split(/\n\n/)
  .map((block): Hand => {
    const [head, ...lines] = block.split('\n');
    const [, unit, end, , ...asked] = /^@ (mm|in)(?: (\d+))?( \?)?(?: (\w+))?$/.exec(head!)!;
    return {
      unit: unit as 'mm' | 'in',
      ...(end && { end: Number(end) }),
      asked: asked.filter((word) => word !== undefined),
      lines: lines.map((line) => {
        const at = line.lastIndexOf(' => ');
        return { text: line.slice(0, at), reading: line.slice(at + 4) };
      }),
    };
  });

test('the table holds three hundred lines', () => {
  expect(hands.reduce((sum, { lines }) => sum + lines.length, 0)).toBeGreaterThanOrEqual(300);
});

test.each(hands.map((hand) => [hand.lines[0]!.text, hand] as const))('the list that begins "%s"', (_, hand) => {
  const per = hand.unit === 'in' ? 25.4 : 1;
  const { lines, questions } = readPastedList(hand.lines.map(({ text }) => text).join('\n'), {
    unit: hand.unit,
    ...(hand.end && { end: hand.end * per }),
  });
  const said = lines.map((line) => {
    if (line.outcome === 'problem') return '!';
    if (line.outcome === 'heading') return '#';
    if (line.outcome === 'empty') return '';
    return [Number((line.mm / per).toFixed(9)), ...(line.label === undefined ? [] : [line.label])].join(' ');
  });
  expect(said).toEqual(hand.lines.map(({ reading }) => reading));
  expect(questions.map(({ about }) => about)).toEqual(hand.asked);
});
