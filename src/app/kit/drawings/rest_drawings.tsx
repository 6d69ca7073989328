import { Dimension, Drawing } from './drawing.tsx';

/** From the side: the grip on the mat, the tip down on it. */
export function FlatDrawing() {
  return (
    <Drawing height={60}>
      <path className="drawing-strong" d="M8 48H232" />
      <path className="drawing-ink" d="M14 47L176 33v5L14 48z" />
      <rect className="drawing-paper" x="174" y="24" width="52" height="23" rx="9" />
      <Dimension x={234} y={24} length={23} upright />
    </Drawing>
  );
}

/** From the side: two blocks hold the blank's middle at one height. */
export function BlocksDrawing() {
  return (
    <Drawing height={60}>
      <path className="drawing-strong" d="M8 52H232" />
      <path className="drawing-paper" d="M52 30h22v22h-22zM150 33h22v19h-22z" />
      <path className="drawing-ink" d="M14 27L200 24v8L14 29z" />
      <rect className="drawing-paper" x="198" y="18" width="30" height="20" rx="8" />
      <path className="drawing-faint" d="M20 28H224" />
      <Dimension x={110} y={28} length={24} upright />
    </Drawing>
  );
}
