import type { ReactNode } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import { handWords } from '../words/hand_words.ts';

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
      {tool(handWords.farther, '−', () => onZoom(1 / 1.5))}
      {tool(handWords.closer, '+', () => onZoom(1.5))}
      {tool(handWords.place, <Target />, onHome)}
      <span className="hand-tools-gap" />
      {tool(handWords.nudge.left, '←', nudge([-0.5, 0]))}
      {tool(handWords.nudge.up, '↑', nudge([0, -0.5]))}
      {tool(handWords.nudge.down, '↓', nudge([0, 0.5]))}
      {tool(handWords.nudge.right, '→', nudge([0.5, 0]))}
      {tool(handWords.remove, '×', onRemove)}
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
