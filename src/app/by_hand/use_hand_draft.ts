import { useState } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import { countPoints, type HandPoints } from '../edits/hand_places.ts';
import { handWords } from '../words/hand_words.ts';

/** The points of one item before they are saved. */
export interface HandDraft {
  /** in every photo */
  draft: HandPoints;
  /** in the photo at hand */
  points: readonly Pixel[];
  /** the chosen one of these, by its number */
  selected: number | undefined;
  /** what was just done, for those who don't see it */
  says: string;
  /** it was asked to close, and was said that points would be lost */
  warned: boolean;
  select: (point: number | undefined) => void;
  add: (at: Pixel) => void;
  move: (point: number, to: Pixel) => void;
  remove: (point: number) => void;
  /** another photo comes to hand */
  turnPage: () => void;
  /** whether nothing would be lost, or that was said before; says it otherwise */
  mayClose: () => boolean;
}

/** The draft of an item's points, begun with those it has; `name` is the photo at hand. */
export function useHandDraft(before: HandPoints, name: string): HandDraft {
  const [draft, setDraft] = useState(before);
  const [selected, setSelected] = useState<number>();
  const [says, setSays] = useState('');
  const [warned, setWarned] = useState(false);
  const points = draft[name] ?? [];
  const setPoints = (next: readonly Pixel[]) => {
    setDraft((all) => ({ ...all, [name]: next }));
    setWarned(false);
  };
  return {
    draft,
    points,
    selected,
    says,
    warned,
    select: setSelected,
    add: (at) => {
      setPoints([...points, at]);
      setSelected(points.length);
      setSays(handWords.set(points.length + 1));
    },
    move: (point, to) => {
      setPoints(points.map((was, i) => (i === point ? to : was)));
      setSays(handWords.moved(point + 1, to));
    },
    remove: (point) => {
      setPoints(points.filter((_, i) => i !== point));
      setSelected(points.length > 1 ? Math.max(point - 1, 0) : undefined);
      setSays(handWords.removed(points.length - 1));
    },
    turnPage: () => {
      setSelected(undefined);
      setSays('');
    },
    mayClose: () => {
      const changed = JSON.stringify(draft) !== JSON.stringify(before);
      if (!changed || countPoints(draft) === 0 || warned) return true;
      setWarned(true);
      return false;
    },
  };
}
