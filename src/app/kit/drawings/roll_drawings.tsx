import { Drawing } from './drawing.tsx';

// all three as seen along the rod from the butt

const Up = () => <path className="drawing-strong" d="M60 34V8M56 14L60 8L64 14" />;

/** The card lies across the reel seat; straight up is square to it. */
export function SeatCardDrawing() {
  return (
    <Drawing width={120} height={100}>
      <circle className="drawing-paper" cx="60" cy="66" r="22" />
      <circle className="drawing-ink" cx="60" cy="66" r="5" />
      <path className="drawing-strong" d="M38 42H82" strokeWidth="5" />
      <Up />
    </Drawing>
  );
}

/** A line drawn along the blank. */
export function SpineDrawing() {
  return (
    <Drawing width={120} height={100}>
      <circle className="drawing-paper" cx="60" cy="66" r="22" />
      <path className="drawing-strong" d="M60 38V50" strokeWidth="5" />
      <Up />
    </Drawing>
  );
}

/** Rings in line but for one. */
export function CommonLineDrawing() {
  return (
    <Drawing width={120} height={100}>
      <circle className="drawing-ink" cx="60" cy="86" r="5" />
      <circle cx="60" cy="50" r="26" />
      <circle cx="60" cy="60" r="17" />
      <circle cx="60" cy="67" r="11" />
      <circle className="drawing-dashed" cx="70" cy="72" r="7" />
      <path className="drawing-strong" d="M60 20V4M56 10L60 4L64 10" />
    </Drawing>
  );
}
