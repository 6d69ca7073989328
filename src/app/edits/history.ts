/** A present value with what came before and what was taken back; each change has a name to show beside undo. */
export interface History<T> {
  past: readonly Change<T>[];
  present: T;
  future: readonly Change<T>[];
}

interface Change<T> {
  /** the value before (in `past`) or after (in `future`) the change */
  value: T;
  name: string;
  /** changes in a row with the same run (typing in one field) are taken back as one */
  run?: string;
}

/** Undo goes back this far; older changes stay made. */
const longest = 200;

export const startHistory = <T>(present: T): History<T> => ({ past: [], present, future: [] });

export function changed<T>(history: History<T>, next: T, name: string, run?: string): History<T> {
  if (next === history.present) return history;
  const last = history.past.at(-1);
  if (run !== undefined && last?.run === run && history.future.length === 0) return { ...history, present: next };
  const change: Change<T> = { value: history.present, name, ...(run === undefined ? {} : { run }) };
  return { past: [...history.past, change].slice(-longest), present: next, future: [] };
}

export function undone<T>(history: History<T>): History<T> {
  const last = history.past.at(-1);
  if (!last) return history;
  const back: Change<T> = { value: history.present, name: last.name };
  return { past: history.past.slice(0, -1), present: last.value, future: [back, ...history.future] };
}

export function redone<T>(history: History<T>): History<T> {
  const next = history.future[0];
  if (!next) return history;
  const again: Change<T> = { value: history.present, name: next.name };
  return { past: [...history.past, again], present: next.value, future: history.future.slice(1) };
}

export const undoName = (history: History<unknown>): string | undefined => history.past.at(-1)?.name;
export const redoName = (history: History<unknown>): string | undefined => history.future[0]?.name;
