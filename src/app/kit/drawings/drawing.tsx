import type { ReactNode } from 'react';

/** A line drawing that teaches one thing; `label` says it to those who can't see it, where no words beside it do. */
export function Drawing({
  label,
  width = 240,
  height = 110,
  children,
}: {
  label?: string;
  width?: number;
  height?: number;
  children: ReactNode;
}) {
  return (
    <svg
      className={width < 200 ? 'drawing drawing-narrow' : 'drawing'}
      viewBox={`0 0 ${width} ${height}`}
      {...(label === undefined ? { 'aria-hidden': true } : { role: 'img', 'aria-label': label })}
    >
      {children}
    </svg>
  );
}

/** A double-headed arrow along or across, with its length written beside it. */
export function Dimension({
  x,
  y,
  length,
  upright = false,
  text,
}: {
  x: number;
  y: number;
  length: number;
  upright?: boolean;
  text?: string;
}) {
  const end = upright
    ? `M${x} ${y}V${y + length}M${x - 3} ${y + 5}L${x} ${y}L${x + 3} ${y + 5}M${x - 3} ${y + length - 5}L${x} ${y + length}L${x + 3} ${y + length - 5}`
    : `M${x} ${y}H${x + length}M${x + 5} ${y - 3}L${x} ${y}L${x + 5} ${y + 3}M${x + length - 5} ${y - 3}L${x + length} ${y}L${x + length - 5} ${y + 3}`;
  return (
    <>
      <path className="drawing-strong" d={end} />
      {text && (
        <text
          x={upright ? x + 6 : x + length / 2}
          y={upright ? y + length / 2 + 4 : y - 4}
          textAnchor={upright ? 'start' : 'middle'}
        >
          {text}
        </text>
      )}
    </>
  );
}
