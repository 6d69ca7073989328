import { type RefObject, useEffect, useRef, useState } from 'react';
import type { Plan } from '../../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../../plan/shoot.ts';
import { MarkPointDrawing, RingPointsDrawing } from '../kit/drawings/hand_drawings.tsx';
import { HandPanel } from './hand_panel.tsx';
import { HandPhoto } from './hand_photo.tsx';
import { type HandPoints, leastPoints } from '../edits/hand_places.ts';
import type { HandPhotoChoice } from './hand_start.ts';
import { baseName } from '../files/open_files.ts';
import { type HandDraft, useHandDraft } from './use_hand_draft.ts';
import { type HandWindow, useHandWindow } from './use_hand_window.ts';
import { handWords } from '../words/hand_words.ts';

/** What is pointed out, and how marks are read. */
interface HandItem {
  id: string;
  stage: Shoot['stage'];
  markedBy?: Plan['markedBy'];
}

/** Pointing out one item in the photos, over the whole screen. */
export function HandDialog({
  choices,
  before,
  onSave,
  onClose,
  ...item
}: HandItem & {
  /** photos to point in, the best one first */
  choices: readonly HandPhotoChoice[];
  before: HandPoints;
  onSave: (points: HandPoints) => void;
  onClose: () => void;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  const title = useRef<HTMLHeadingElement>(null);
  const [name, setName] = useState(() => (choices.find(({ entry }) => before[entry.name]) ?? choices[0]!).entry.name);
  const [photo, follow] = useHandWindow(choices.find(({ entry }) => entry.name === name)!);
  const hand = useHandDraft(before, name);
  useEffect(() => {
    dialog.current?.showModal();
    title.current?.focus();
  }, []);
  return (
    <dialog
      ref={dialog}
      className="whole-screen hand"
      aria-label={handWords.title(item.id)}
      onClose={onClose}
      onCancel={(event) => {
        if (event.target === dialog.current && !hand.mayClose()) event.preventDefault();
      }}
    >
      <HandSays {...item} title={title} />
      <div className="hand-window" ref={follow}>
        <PhotoAtHand key={name} name={name} photo={photo} hand={hand} />
      </div>
      <HandPanel
        name={name}
        choices={choices}
        least={leastPoints(item.stage)}
        hand={hand}
        photo={photo}
        onShow={(file) => {
          setName(file);
          hand.turnPage();
        }}
        onSave={() => {
          onSave(hand.draft);
          dialog.current?.close();
        }}
        onClose={() => hand.mayClose() && dialog.current?.close()}
      />
    </dialog>
  );
}

/** The photo with its points, or that it can't be shown. */
function PhotoAtHand({ name, photo, hand }: { name: string; photo: HandWindow; hand: HandDraft }) {
  const { url, window, size } = photo;
  if (photo.unreadable) return <p className="hand-no-photo">{handWords.noPhoto}</p>;
  if (!url || !window) return null;
  const select = (point: number | undefined) => {
    hand.select(point);
    const place = point === undefined ? undefined : hand.points[point];
    if (place) photo.bringIn(place);
  };
  return (
    <HandPhoto
      url={url}
      label={handWords.surface(baseName(name))}
      size={size}
      window={window}
      view={photo.view ?? { centre: [0, 0], scale: 1 }}
      points={size ? hand.points : []}
      selected={hand.selected}
      onView={photo.change}
      onHome={photo.home}
      onAdd={hand.add}
      onMove={hand.move}
      onRemove={hand.remove}
      onSelect={select}
      onLoaded={photo.settle}
    />
  );
}

/** Whether a ring or a mark is meant, and where to point at it. */
function HandSays({
  id,
  stage,
  markedBy = 'centre',
  title,
}: HandItem & { title: RefObject<HTMLHeadingElement | null> }) {
  const guides = guidesAreOn(stage);
  return (
    <div className="hand-says">
      {guides ? <RingPointsDrawing /> : <MarkPointDrawing readAt={markedBy} />}
      <div>
        <h2 ref={title} tabIndex={-1}>
          {handWords.title(id)}
        </h2>
        <p>{guides ? handWords.says.ring : handWords.says[markedBy]}</p>
      </div>
    </div>
  );
}
