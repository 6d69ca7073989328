import type { ReactNode } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import { words } from '../words/words.ts';

/** Zoom, and for a chosen point the small steps and the way to take it out: for those who don't drag or type. */
export function HandTools({
  onZoom,
  onHome,
  onNudge,
  onRemove,
}: {
  onZoom: (factor: number) => void;
  onHome: () => void;
  /** by photo pixels */
  onNudge?: (by: Pixel) => void;
  onRemove?: () => void;
}) {
  const tool = (label: string, sign: ReactNode, act: (() => void) | undefined) => (
    <button type="button" className="icon" aria-label={label} disabled={!act} onClick={act}>
      <span aria-hidden="true">{sign}</span>
    </button>
  );
  const nudge = (by: Pixel) => (onNudge ? () => onNudge(by) : undefined);
  return (
    <div className="hand-tools">
      {tool(words.hand.farther, '−', () => onZoom(1 / 1.5))}
      {tool(words.hand.closer, '+', () => onZoom(1.5))}
      {tool(words.hand.place, <Target />, onHome)}
      <span className="hand-tools-gap" />
      {tool(words.hand.nudge.left, '←', nudge([-0.5, 0]))}
      {tool(words.hand.nudge.up, '↑', nudge([0, -0.5]))}
      {tool(words.hand.nudge.down, '↓', nudge([0, 0.5]))}
      {tool(words.hand.nudge.right, '→', nudge([0.5, 0]))}
      {tool(words.hand.remove, '×', onRemove)}
    </div>
  );
}

/** A font has no sure sign for it. */
const Target = () => (
  <svg className="sign-line" viewBox="-12 -12 24 24" width="24" height="24">
    <circle r="6" />
    <path d="M-10 0H-6M6 0H10M0 -10V-6M0 6V10" />
  </svg>
);
