import { seatCard } from '../../mat/tile.ts';
import type { FrameLook } from '../workers/tag_tasks.ts';

/** Outlines of the tags that were read, laid over the video. */
export function CameraOverlay({ frame, take }: { frame: FrameLook; take: boolean }) {
  const d = frame.tags.map(({ corners }) => `M${corners.map(([x, y]) => `${x + 0.5} ${y + 0.5}`).join('L')}Z`).join('');
  const onCard = frame.tags.some(({ id }) => seatCard.ids.some((own) => own === id));
  return (
    <svg
      className={take ? 'camera-overlay camera-overlay-take' : 'camera-overlay'}
      viewBox={`0 0 ${frame.width} ${frame.height}`}
      data-tags={frame.tags.length}
      data-card={onCard}
      aria-hidden="true"
    >
      <path className="rim-under" d={d} />
      <path className="rim" d={d} />
    </svg>
  );
}
