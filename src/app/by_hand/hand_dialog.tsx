import { useCallback, useEffect, useRef, useState } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import type { Plan } from '../../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../../plan/shoot.ts';
import { useApp } from '../session/app_context.tsx';
import { MarkPointDrawing, RingPointsDrawing } from '../kit/drawings/hand_drawings.tsx';
import { HandPhoto } from './hand_photo.tsx';
import { countPoints, type HandPoints, leastPoints } from '../edits/hand_places.ts';
import type { HandPhotoChoice } from './hand_start.ts';
import { HandTools } from './hand_tools.tsx';
import { around, type HandView, showing, type Size, wholePhoto, within } from './hand_view.ts';
import { useBlobUrl } from './hand_blob_url.ts';
import { baseName } from '../files/open_files.ts';
import { handWords } from '../words/hand_words.ts';

/** Pointing out one item in the photos, over the whole screen. */
export function HandDialog({
  id,
  stage,
  markedBy = 'centre',
  choices,
  before,
  onSave,
  onClose,
}: {
  id: string;
  stage: Shoot['stage'];
  markedBy?: Plan['markedBy'];
  /** photos to point in, the best one first */
  choices: readonly HandPhotoChoice[];
  before: HandPoints;
  onSave: (points: HandPoints) => void;
  onClose: () => void;
}) {
  const { actions } = useApp();
  const dialog = useRef<HTMLDialogElement>(null);
  const title = useRef<HTMLHeadingElement>(null);
  const [window, followWindow] = useSize();
  const [draft, setDraft] = useState(before);
  const [name, setName] = useState(() => (choices.find(({ entry }) => before[entry.name]) ?? choices[0]!).entry.name);
  const [views, setViews] = useState<Record<string, HandView>>({});
  const [loaded, setLoaded] = useState<Record<string, Size | 'unreadable'>>({});
  const [selected, setSelected] = useState<number>();
  const [says, setSays] = useState('');
  const [warned, setWarned] = useState(false);

  const choice = choices.find(({ entry }) => entry.name === name)!;
  const url = useBlobUrl(useCallback(() => actions.photoFile(choice.entry.id), [actions, choice.entry.id]));
  const seen = loaded[name];
  // a check's points are in the pixels it read; a browser may hand out the photo in another size
  const size = seen === 'unreadable' ? undefined : seen && (choice.size ?? seen);
  const home = size && window && homeView(choice, window, size);
  const view = size && window && home ? within(views[name] ?? home, window, size) : home;
  const points = draft[name] ?? [];

  useEffect(() => {
    dialog.current?.showModal();
    title.current?.focus();
  }, []);

  const changeView = (change: (view: HandView) => HandView) =>
    setViews((all) => (home ? { ...all, [name]: change(all[name] ?? home) } : all));
  const setPoints = (next: readonly Pixel[]) => {
    setDraft((all) => ({ ...all, [name]: next }));
    setWarned(false);
  };
  const select = (point: number | undefined) => {
    setSelected(point);
    const place = point === undefined ? undefined : points[point];
    if (place && window && size) changeView((now) => showing(now, place, window, size));
  };
  const add = (at: Pixel) => {
    setPoints([...points, at]);
    setSelected(points.length);
    setSays(handWords.set(points.length + 1));
  };
  const move = (point: number, to: Pixel) => {
    setPoints(points.map((was, i) => (i === point ? to : was)));
    setSays(handWords.moved(point + 1, to));
  };
  const remove = (point: number) => {
    setPoints(points.filter((_, i) => i !== point));
    setSelected(points.length > 1 ? Math.max(point - 1, 0) : undefined);
    setSays(handWords.removed(points.length - 1));
  };
  const show = (file: string) => {
    setName(file);
    setSelected(undefined);
    setSays('');
  };

  const count = countPoints(draft);
  const needed = leastPoints(stage) - count;
  const changed = JSON.stringify(draft) !== JSON.stringify(before);
  const close = () => {
    if (changed && count > 0 && !warned) return setWarned(true);
    dialog.current?.close();
  };
  const inPhotos = Object.values(draft).filter((some) => some.length > 0).length;

  return (
    <dialog
      ref={dialog}
      className="hand"
      aria-label={handWords.title(id)}
      onClose={onClose}
      onCancel={(event) => {
        if (event.target !== dialog.current || !changed || count === 0 || warned) return;
        event.preventDefault();
        setWarned(true);
      }}
    >
      <div className="hand-says">
        {guidesAreOn(stage) ? <RingPointsDrawing /> : <MarkPointDrawing readAt={markedBy} />}
        <div>
          <h2 ref={title} tabIndex={-1}>
            {handWords.title(id)}
          </h2>
          <p>{guidesAreOn(stage) ? handWords.says.ring : handWords.says[markedBy]}</p>
        </div>
      </div>
      <div className="hand-window" ref={followWindow}>
        {seen === 'unreadable' && <p className="hand-no-photo">{handWords.noPhoto}</p>}
        {url && window && seen !== 'unreadable' && (
          <HandPhoto
            key={name}
            url={url}
            label={handWords.surface(baseName(name))}
            size={size}
            window={window}
            view={view ?? { centre: [0, 0], scale: 1 }}
            points={size ? points : []}
            selected={selected}
            onView={changeView}
            onHome={() => home && changeView(() => home)}
            onAdd={add}
            onMove={move}
            onRemove={remove}
            onSelect={select}
            onLoaded={(natural) => setLoaded((all) => ({ ...all, [name]: natural }))}
            onUnreadable={() => setLoaded((all) => ({ ...all, [name]: 'unreadable' }))}
          />
        )}
      </div>
      <div className="hand-panel">
        <label className="hand-choice">
          <span>{handWords.photo}</span>
          <select value={name} onChange={(event) => show(event.target.value)}>
            {choices.map(({ entry, start }) => (
              <option key={entry.id} value={entry.name}>
                {handWords.photoChoice(baseName(entry.name), start !== undefined, draft[entry.name]?.length ?? 0)}
              </option>
            ))}
          </select>
        </label>
        <HandTools
          onZoom={(factor) =>
            changeView((now) => (size && window ? within({ ...now, scale: now.scale * factor }, window, size) : now))
          }
          onHome={() => home && changeView(() => home)}
          {...(selected !== undefined && points[selected]
            ? {
                onNudge: ([dx, dy]: Pixel) => move(selected, [points[selected]![0] + dx, points[selected]![1] + dy]),
                onRemove: () => remove(selected),
              }
            : {})}
        />
        <p className="hint" role="status">
          {warned ? handWords.unsaved : needed > 0 ? handWords.more(needed) : handWords.some(count, inPhotos)}{' '}
          <span className="spoken">{says}</span>
        </p>
        <div className="ways">
          <button
            type="button"
            className="primary"
            disabled={needed > 0}
            onClick={() => {
              onSave(draft);
              dialog.current?.close();
            }}
          >
            {handWords.save}
          </button>
          <button type="button" onClick={close}>
            {handWords.close}
          </button>
        </div>
      </div>
    </dialog>
  );
}

const homeView = ({ start }: HandPhotoChoice, window: Size, size: Size): HandView =>
  start ? around(start.place, start.reach, window, size) : wholePhoto(window, size);

/** An element's size in CSS pixels, followed as it changes; undefined before it stands on the page. */
function useSize(): [Size | undefined, (element: HTMLElement | null) => (() => void) | undefined] {
  const [size, setSize] = useState<Size>();
  const follow = useCallback((element: HTMLElement | null) => {
    if (!element) return;
    const observer = new ResizeObserver(() => {
      const { clientWidth, clientHeight } = element;
      if (clientWidth > 0 && clientHeight > 0) setSize({ width: clientWidth, height: clientHeight });
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [size, follow];
}
