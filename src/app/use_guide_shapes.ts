import { useCallback, useEffect, useState } from 'react';
import type { NamedGuide } from '../plan/guide_set.ts';
import { useApp } from './app_context.tsx';

export interface GuideShapes {
  /** kept by the builder in this browser */
  own: NamedGuide[];
  /** to start from */
  starting: NamedGuide[];
}

/** Loaded on first need: reading shapes from files brings the file reader along. */
export const startingShapes = (): Promise<NamedGuide[]> =>
  import('../plan/guide_set.ts').then(({ startingGuides }) => startingGuides.guides);

/** Guide shapes to choose from, and a way to look again after one was kept or thrown away. */
export function useGuideShapes(): [GuideShapes, () => void] {
  const { actions } = useApp();
  const [shapes, setShapes] = useState<GuideShapes>({ own: [], starting: [] });
  const look = useCallback(() => {
    void Promise.all([actions.guides(), startingShapes()]).then(([own, starting]) => setShapes({ own, starting }));
  }, [actions]);
  useEffect(look, [look]);
  return [shapes, look];
}
