import { useRef } from 'react';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { changeRow, rowField, withWritten } from '../edits/plan_edits.ts';
import { movedTo, placeStep, roomOf } from './plan_drag.ts';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';
import { kindWords } from '../words/sign_words.ts';

/** What a key moves a place by, in steps; a drag's own way is the finger's. */
const keySteps: Record<string, number> = {
  ArrowLeft: -1,
  ArrowDown: -1,
  ArrowRight: 1,
  ArrowUp: 1,
  PageDown: -10,
  PageUp: 10,
};

/** How a place follows the finger or the keys. */
interface Moving {
  /** mm a step */
  step: number;
  perMm: number;
  /** moves a place; what belongs to one run is taken back at once */
  move: (row: number, wanted: number, run: string) => void;
}

/**
 * A handle over every place of the drawing: dragged along the rod, or moved by keys; what is typed in the list follows.
 */
export function PlanRodHandles({ x, perMm }: { x: (at: number) => number; perMm: number }) {
  const { actions } = useApp();
  const { plan, lengths } = useBuild().history.present;
  const step = placeStep(lengths, perMm);
  const middles = plan.positions.map(({ at }) => x(at));
  const order = middles.toSorted((a, b) => a - b);

  const move = (row: number, wanted: number, run: string) => {
    const position = plan.positions[row]!;
    const at = movedTo(plan, row, wanted, step);
    if (at === position.at) return;
    actions.edit(
      changeWords.movePlace(position.id),
      (document) =>
        withWritten(changeRow(row, (before) => ({ ...before, at }))(document), rowField(row, 'at'), undefined),
      run,
    );
  };

  return (
    <div className="rod-handles" role="group" aria-label={planWords.drawingHandles}>
      {middles.map((middle, row) => {
        const before = order.findLast((other) => other < middle) ?? -Infinity;
        const after = order.find((other) => other > middle) ?? Infinity;
        // 44 px, or up to half way to its neighbours
        const left = Math.max(middle - 22, (before + middle) / 2);
        const right = Math.min(middle + 22, (middle + after) / 2);
        return (
          <Handle
            key={row}
            row={row}
            room={{ left, width: Math.max(right - left, 8) }}
            moving={{ step, perMm, move }}
          />
        );
      })}
    </div>
  );
}

/** One place's handle; `room` is where it can be touched, px. */
function Handle({ row, room, moving }: { row: number; room: { left: number; width: number }; moving: Moving }) {
  const { plan, lengths } = useBuild().history.present;
  const held = useRef<{ pointer: number; from: number; at: number; run: string }>(undefined);
  const { id, kind, at } = plan.positions[row]!;
  const { step, perMm, move } = moving;
  const { least, most } = roomOf(plan, row, step);
  const letGo = () => {
    held.current = undefined;
  };
  return (
    <div
      className="rod-handle"
      style={room}
      role="slider"
      tabIndex={0}
      aria-label={planWords.drawingHandle(id, kindWords[kind])}
      aria-valuemin={Number(least.toFixed(2))}
      aria-valuemax={Number(most.toFixed(2))}
      aria-valuenow={Number(at.toFixed(2))}
      aria-valuetext={formatLength(at, lengths)}
      onPointerDown={(event) => {
        if (event.button !== 0) return;
        event.currentTarget.setPointerCapture(event.pointerId);
        const run = `drag ${row} ${event.timeStamp}`;
        held.current = { pointer: event.pointerId, from: event.clientX, at, run };
      }}
      onPointerMove={(event) => {
        const now = held.current;
        if (now?.pointer !== event.pointerId) return;
        move(row, now.at + (event.clientX - now.from) / perMm, now.run);
      }}
      onPointerUp={letGo}
      onPointerCancel={letGo}
      onKeyDown={(event) => {
        const by = keySteps[event.key];
        if (by === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
        event.preventDefault();
        move(row, at + by * (event.shiftKey ? 10 : 1) * step, `keys ${row}`);
      }}
    />
  );
}
