import { useCallback, useEffect, useId, useLayoutEffect, useRef, useState } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import { followHandGestures, type HandGestures } from './hand_gestures.ts';
import { HandLoupe } from './hand_loupe.tsx';
import {
  type HandView,
  insideOf,
  loupePlace,
  loupeScale,
  pannedBy,
  type Size,
  toPhoto,
  toWindow,
  zoomedAt,
} from './hand_view.ts';
import { handWords } from '../words/hand_words.ts';

/** CSS pixels within which a finger takes hold of a point. */
const reach = 20;
/** What an arrow key moves: a point, photo pixels; the photo, CSS pixels. */
const fineStep = 0.25;
const coarseStep = 2;
const panStep = 60;

const arrows: Record<string, Pixel> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** A photo in a window, moved and zoomed by CSS alone, with the points set in it. */
export function HandPhoto({
  url,
  label,
  size,
  window,
  view,
  points,
  selected,
  onView,
  onHome,
  onAdd,
  onMove,
  onRemove,
  onSelect,
  onLoaded,
  onUnreadable,
}: {
  url: string;
  label: string;
  /** of the upright photo; nothing is drawn over it before it is known */
  size: Size | undefined;
  window: Size;
  view: HandView;
  points: readonly Pixel[];
  selected: number | undefined;
  onView: (change: (view: HandView) => HandView) => void;
  onHome: () => void;
  onAdd: (at: Pixel) => void;
  onMove: (point: number, to: Pixel) => void;
  onRemove: (point: number) => void;
  onSelect: (point: number | undefined) => void;
  onLoaded: (size: Size) => void;
  onUnreadable: () => void;
}) {
  const keysId = useId();
  const surface = useRef<HTMLDivElement>(null);
  const latest = useRef<HandGestures>(undefined);
  const held = useRef<Pixel>(undefined);
  const [finger, setFinger] = useState<Pixel>();
  const [nudged, setNudged] = useState(false);

  const at = (point: Pixel) => toWindow(view, window, point);
  const photo = size ?? { width: 1, height: 1 };
  const zoom = (factor: number, place: Pixel) => onView((before) => zoomedAt(before, factor, place, window, photo));
  const chosen = selected === undefined ? undefined : points[selected];
  const middle: Pixel = [window.width / 2, window.height / 2];

  const nudge = (point: number, [dx, dy]: Pixel, by: number) => {
    const before = points[point]!;
    setNudged(true);
    onMove(point, insideOf(photo, [before[0] + dx * by, before[1] + dy * by]));
  };

  useLayoutEffect(() => {
    latest.current = {
      pointAt: (place) => {
        const far = points.map((point) => Math.hypot(at(point)[0] - place[0], at(point)[1] - place[1]));
        const nearest = far.indexOf(Math.min(...far));
        return nearest >= 0 && far[nearest]! <= reach ? nearest : undefined;
      },
      onTap: (place, point) => {
        setNudged(false);
        if (point !== undefined) return onSelect(point);
        const pixel = toPhoto(view, window, place);
        const inside = insideOf(photo, pixel);
        if (size && Math.hypot(inside[0] - pixel[0], inside[1] - pixel[1]) === 0) onAdd(pixel);
      },
      onGrab: (point) => {
        held.current = points[point];
        onSelect(point);
      },
      onDrag: (point, [dx, dy], place) => {
        if (!held.current) return;
        setFinger(place);
        onMove(point, insideOf(photo, [held.current[0] + dx / view.scale, held.current[1] + dy / view.scale]));
      },
      onRelease: (point, back) => {
        if (back && held.current) onMove(point, held.current);
        held.current = undefined;
        setFinger(undefined);
      },
      onPan: (by) => onView((before) => pannedBy(before, by, window, photo)),
      onZoom: zoom,

      onKey: ({ key, shiftKey, target }) => {
        const point = target === surface.current ? undefined : selected;
        const arrow = arrows[key];
        if (arrow && point !== undefined) nudge(point, arrow, shiftKey ? coarseStep : fineStep);
        else if (arrow) onView((before) => pannedBy(before, [-arrow[0] * panStep, -arrow[1] * panStep], window, photo));
        else if (key === '+' || key === '=') zoom(1.5, chosen ? at(chosen) : middle);
        else if (key === '-') zoom(1 / 1.5, chosen ? at(chosen) : middle);
        else if (key === '0') onHome();
        else if (point !== undefined && (key === 'Delete' || key === 'Backspace')) onRemove(point);
        else if (point === undefined && (key === 'Enter' || key === ' ') && size) onAdd(view.centre);
        else return false;
        return true;
      },
    };
  });
  useEffect(() => {
    const element = surface.current;
    return element ? followHandGestures(element, () => latest.current!) : undefined;
  }, []);

  const followFocus = useCallback((element: HTMLButtonElement | null) => element?.focus({ preventScroll: true }), []);

  return (
    <div
      ref={surface}
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
        onError={onUnreadable}
      />
      <span className="hand-middle" aria-hidden="true" />
      <span className="spoken" id={keysId}>
        {handWords.keys}
      </span>
      {points.map((point, i) => (
        <button
          // oxlint-disable-next-line react/no-array-index-key -- a point is its number; it has no other name
          key={i}
          type="button"
          ref={i === selected ? followFocus : undefined}
          className={i === selected ? 'hand-point hand-point-chosen' : 'hand-point'}
          style={{ transform: `translate(${at(point)[0]}px, ${at(point)[1]}px)` }}
          aria-label={handWords.point(i + 1, points.length, point)}
          aria-pressed={i === selected}
          onFocus={() => onSelect(i)}
        >
          <PointCross />
        </button>
      ))}
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
