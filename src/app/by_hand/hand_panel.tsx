import type { Pixel } from '../../geometry/vector.ts';
import { countPoints, type HandPoints } from '../edits/hand_places.ts';
import { baseName } from '../files/open_files.ts';
import { handWords } from '../words/hand_words.ts';
import type { HandPhotoChoice } from './hand_start.ts';
import { HandTools } from './hand_tools.tsx';
import type { HandDraft } from './use_hand_draft.ts';
import type { HandWindow } from './use_hand_window.ts';

/** Below the photo: which photo, zoom and small steps, how many points are still needed, and the ways out. */
export function HandPanel({
  name,
  choices,
  least,
  hand,
  photo,
  onShow,
  onSave,
  onClose,
}: {
  /** of the photo at hand */
  name: string;
  choices: readonly HandPhotoChoice[];
  /** points the item needs */
  least: number;
  hand: HandDraft;
  photo: HandWindow;
  onShow: (name: string) => void;
  onSave: () => void;
  onClose: () => void;
}) {
  const { draft, points, selected } = hand;
  const chosen = selected === undefined ? undefined : points[selected];
  const count = countPoints(draft);
  const needed = least - count;
  const inPhotos = Object.values(draft).filter((some) => some.length > 0).length;
  return (
    <div className="hand-panel">
      <PhotoChoice name={name} choices={choices} draft={draft} onShow={onShow} />
      <HandTools
        onZoom={photo.zoom}
        onHome={photo.home}
        {...(selected !== undefined && chosen
          ? {
              onNudge: ([dx, dy]: Pixel) => hand.move(selected, [chosen[0] + dx, chosen[1] + dy]),
              onRemove: () => hand.remove(selected),
            }
          : {})}
      />
      <p className="hint" role="status">
        {hand.warned ? handWords.unsaved : needed > 0 ? handWords.more(needed) : handWords.some(count, inPhotos)}{' '}
        <span className="spoken">{hand.says}</span>
      </p>
      <div className="ways">
        <button type="button" className="primary" disabled={needed > 0} onClick={onSave}>
          {handWords.save}
        </button>
        <button type="button" onClick={onClose}>
          {handWords.close}
        </button>
      </div>
    </div>
  );
}

/** The photos, each with how many points it has and whether it shows the place. */
function PhotoChoice({
  name,
  choices,
  draft,
  onShow,
}: {
  name: string;
  choices: readonly HandPhotoChoice[];
  draft: HandPoints;
  onShow: (name: string) => void;
}) {
  return (
    <label className="hand-choice">
      <span>{handWords.photo}</span>
      <select value={name} onChange={(event) => onShow(event.target.value)}>
        {choices.map(({ entry, start }) => (
          <option key={entry.id} value={entry.name}>
            {handWords.photoChoice(baseName(entry.name), start !== undefined, draft[entry.name]?.length ?? 0)}
          </option>
        ))}
      </select>
    </label>
  );
}
