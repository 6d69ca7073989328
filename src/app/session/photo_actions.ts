import { InputError } from '../../plan/input_error.ts';
import { mostPhotos } from '../../plan/shoot.ts';
import { photoEntries } from '../files/added_photos.ts';
import { newId } from '../../store/new_id.ts';
import { changeWords } from '../words/changes_words.ts';
import { photoWords } from '../words/photo_words.ts';
import { atStage } from '../edits/stage_edits.ts';
import { shootOfPiece } from '../edits/piece_edits.ts';
import type { ActionContext } from './action_context.ts';

/** The photos of the shoot in hand. */
export function makePhotoActions({ dispatch, state, services, guarded }: ActionContext) {
  return {
    /** @param ids of the photos, where they have one already */
    addPhotos: guarded(async (files: readonly File[], ids?: readonly string[]) => {
      const build = state().build;
      if (!build || files.length === 0) return;
      const before = build.history.present.shoot.photos;
      if (before.length + files.length > mostPhotos) throw new InputError(photoWords.tooMany(mostPhotos));
      const { kept, entries } = photoEntries(build.kept.id, files, before, ids);
      await (await services).shelf.keepPhotos(kept);
      dispatch({
        type: 'edit',
        name: changeWords.addPhotos(entries.length),
        change: (document) => ({
          ...document,
          shoot: { ...document.shoot, photos: [...document.shoot.photos, ...entries] },
        }),
      });
    }),
    /** Begins another round of photos on the same mat; the last round's photos stay with its checks. */
    newRound: () =>
      dispatch({
        type: 'edit',
        name: changeWords.newRound,
        change: (document) => ({ ...document, shoot: { ...document.shoot, id: newId(), photos: [] } }),
      }),
    /** Begins a round of photos of the bare blank, turned so many degrees since its first. */
    newTurn: (turn: number) =>
      dispatch({
        type: 'edit',
        name: changeWords.newRound,
        change: (document) => {
          const bare = atStage(document, 'blank');
          return { ...bare, shoot: { ...bare.shoot, id: newId(), photos: [], turn } };
        },
      }),
    /** Begins a round of photos of another piece, or of the rod put together. */
    newRoundOf: (piece: number | undefined) =>
      dispatch({
        type: 'edit',
        name: changeWords.newRound,
        change: (document) => ({
          ...document,
          shoot: { ...shootOfPiece(document.plan, document.shoot, piece), id: newId(), photos: [] },
        }),
      }),
    photoFile: async (id: string) => (await services).shelf.photoFile(id),
  };
}
