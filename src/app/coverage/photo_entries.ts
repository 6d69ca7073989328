import { useEffect, useMemo, useSyncExternalStore } from 'react';
import type { PhotoEntry } from '../../store/build.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { type Looks, type LookState, photoLooks } from './photo_looks.ts';
import { judgePhoto, type PhotoJudgement } from './photo_judgement.ts';
import { type PhotoView, photoView } from './photo_view.ts';
import { printedMat } from '../mat/printed_mat.ts';
import type { PaperName } from '../../mat/tile.ts';
import type { ReportNextPhoto } from '../../verdict/report.ts';
import { wantedPhoto } from './wanted_photo.ts';

/** A photo of the shoot with what was seen in it so far. */
export interface SeenPhoto {
  entry: PhotoEntry;
  state: LookState;
  view?: PhotoView;
  judgement?: PhotoJudgement;
}

/** The shoot's photos, looked at as they come, the mat they lie on, and the photo that the last check asked for. */
export function usePhotos(): { photos: SeenPhoto[]; paper: PaperName; tiles: number; wanted?: ReportNextPhoto } {
  const { actions } = useApp();
  const { history, checks } = useBuild();
  const { present } = history;
  const entries = present.shoot.photos;
  const looks = useSyncExternalStore(photoLooks.subscribe, photoLooks.snapshot);
  useEffect(() => photoLooks.want(entries, actions.photoFile), [entries, actions]);
  const { paper, tiles } = printedMat(present);
  const photos = useMemo(() => seenPhotos(entries, looks, paper), [entries, looks, paper]);
  const wanted = wantedPhoto(checks[0], present.shoot.stage, photos, paper);
  return { photos, paper, tiles, ...(wanted && { wanted }) };
}

function seenPhotos(entries: readonly PhotoEntry[], looks: Looks, paper: PaperName): SeenPhoto[] {
  const firstOf = new Map<string, string>();
  return entries.map((entry) => {
    const state = looks.get(entry.id) ?? { kind: 'waiting' };
    if (state.kind !== 'seen') return { entry, state };
    const { look } = state;
    const twin = firstOf.get(look.fingerprint);
    if (twin === undefined) firstOf.set(look.fingerprint, entry.name);
    const view = photoView(look, paper);
    return { entry, state, view, judgement: judgePhoto(look, view, twin) };
  });
}

/** What the photos that will do show. */
export const goodViews = (photos: readonly SeenPhoto[]): PhotoView[] =>
  photos.flatMap(({ view, judgement }) => (view && judgement && judgement.mark !== 'unusable' ? [view] : []));
