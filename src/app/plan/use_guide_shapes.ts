import { useCallback, useEffect, useState } from 'react';
import type { NamedGuide } from '../../plan/files/guide_set.ts';
import { startingGuides } from '../../plan/layouts/starting_guides.ts';
import { useApp } from '../session/app_context.tsx';

export interface GuideShapes {
  /** kept by the builder in this browser */
  own: NamedGuide[];
  /** to start from */
  starting: NamedGuide[];
}

/** Guide shapes to choose from, and a way to look again after one was kept or thrown away. */
export function useGuideShapes(): [GuideShapes, () => void] {
  const { actions } = useApp();
  const [shapes, setShapes] = useState<GuideShapes>({ own: [], starting: startingGuides.guides });
  const look = useCallback(() => {
    void actions.guides().then((own) => setShapes({ own, starting: startingGuides.guides }));
  }, [actions]);
  useEffect(look, [look]);
  return [shapes, look];
}
