import fc from 'fast-check';
import { expect, test } from 'vitest';
import { changed, redone, startHistory, undone, undoName } from '../../src/app/edits/history.ts';

test('undoing every change comes back to the start, redoing them to the end', () => {
  fc.assert(
    fc.property(fc.array(fc.integer(), { maxLength: 50 }), (values) => {
      const distinct = values.filter((value, i) => value !== (values[i - 1] ?? 0));
      let history = startHistory(0);
      for (const value of distinct) history = changed(history, value, `to ${value}`);
      const end = history.present;
      while (history.past.length > 0) history = undone(history);
      expect(history.present).toBe(0);
      while (history.future.length > 0) history = redone(history);
      expect(history.present).toBe(end);
    }),
  );
});

test('a change after undo drops what was taken back', () => {
  let history = changed(changed(startHistory('a'), 'b', 'b'), 'c', 'c');
  history = changed(undone(history), 'd', 'd');
  expect(redone(history).present).toBe('d');
  expect(undone(history).present).toBe('b');
});

test('typing in one field is one step, another field is the next', () => {
  let history = startHistory('');
  for (const text of ['r', 'ro', 'rod']) history = changed(history, text, 'title', 'title');
  history = changed(history, 'rod 2', 'length', 'length');
  expect(undoName(history)).toBe('length');
  history = undone(history);
  expect(history.present).toBe('rod');
  expect(undone(history).present).toBe('');
});

test('typing after undo does not join the step before', () => {
  let history = changed(changed(startHistory(''), 'a', 'title', 'title'), 'b', 'other');
  history = changed(undone(history), 'ab', 'title', 'title');
  expect(undone(history).present).toBe('a');
});
