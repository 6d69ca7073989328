import { useCallback, useId, useRef } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import { HandLoupe } from './hand_loupe.tsx';
import { type HandView, loupePlace, loupeScale, type Size, toWindow } from './hand_view.ts';
import { type HandSurface, useHandGestures } from './use_hand_gestures.ts';
import { handWords } from '../words/hand_words.ts';

/** A photo in a window, moved and zoomed by CSS alone, with the points set in it. */
export function HandPhoto({
  url,
  label,
  onLoaded,
  ...surface
}: HandSurface & {
  url: string;
  label: string;
  /** its size in the browser's pixels, or that it can't be shown */
  onLoaded: (size: Size | 'unreadable') => void;
}) {
  const keysId = useId();
  const element = useRef<HTMLDivElement>(null);
  const { finger, nudged } = useHandGestures(element, surface);
  const { size, window, view, points, selected } = surface;
  const at = (point: Pixel) => toWindow(view, window, point);
  const chosen = selected === undefined ? undefined : points[selected];
  return (
    <div
      ref={element}
      className="hand-surface"
      // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- arrows, plus, minus and Enter work on it
      tabIndex={0}
      role="application"
      aria-label={label}
      aria-describedby={keysId}
    >
      <img
        className="hand-image"
        src={url}
        alt=""
        decoding="async"
        draggable={false}
        style={
          size ? { width: size.width, height: size.height, transform: placed(view, window) } : { visibility: 'hidden' }
        }
        onLoad={({ currentTarget: { naturalWidth, naturalHeight } }) =>
          onLoaded({ width: naturalWidth, height: naturalHeight })
        }
        onError={() => onLoaded('unreadable')}
      />
      <span className="hand-middle" aria-hidden="true" />
      <span className="spoken" id={keysId}>
        {handWords.keys}
      </span>
      <PointButtons {...surface} />
      {size && chosen && (finger || nudged) && (
        <HandLoupe
          url={url}
          size={size}
          point={chosen}
          scale={loupeScale(view.scale)}
          middle={loupePlace(finger ?? at(chosen), window)}
        />
      )}
    </div>
  );
}

/** The points set, each a button over its place. */
function PointButtons({ view, window, points, selected, onSelect }: HandSurface) {
  const followFocus = useCallback((element: HTMLButtonElement | null) => element?.focus({ preventScroll: true }), []);
  return points.map((point, i) => {
    const [x, y] = toWindow(view, window, point);
    return (
      <button
        // oxlint-disable-next-line react/no-array-index-key -- a point is its number; it has no other name
        key={i}
        type="button"
        ref={i === selected ? followFocus : undefined}
        className={i === selected ? 'hand-point hand-point-chosen' : 'hand-point'}
        style={{ transform: `translate(${x}px, ${y}px)` }}
        aria-label={handWords.point(i + 1, points.length, point)}
        aria-pressed={i === selected}
        onFocus={() => onSelect(i)}
      >
        <PointCross />
      </button>
    );
  });
}

/** The photo's own CSS place for a view: pixel (0, 0) is the centre of the first pixel. */
const placed = ({ centre, scale }: HandView, window: Size): string =>
  `translate(${window.width / 2 - (centre[0] + 0.5) * scale}px, ${window.height / 2 - (centre[1] + 0.5) * scale}px) scale(${scale})`;

/** Open in the middle, so that it never hides what it points at. */
function PointCross() {
  const lines = 'M-14 0H-4M4 0H14M0 -14V-4M0 4V14';
  return (
    <svg viewBox="-16 -16 32 32" width="32" height="32" aria-hidden="true">
      <path className="rim-under" d={lines} />
      <path className="rim" d={lines} />
      <circle className="hand-point-ring rim" r="11" />
    </svg>
  );
}
