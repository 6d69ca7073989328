import { tagPlace, tileNumber } from '../../mat/tile.ts';
import type { PhotoView } from './photo_view.ts';
import type { PhotoLook } from '../workers/tag_tasks.ts';
import { photoWords } from '../words/photo_words.ts';

/** Whether a photo will do, and each reason against it as one sentence, the gravest first. */
export interface PhotoJudgement {
  mark: 'good' | 'doubtful' | 'unusable';
  reasons: string[];
}

/** @param twin name of an earlier photo of the same bytes, where there is one */
export function judgePhoto(look: PhotoLook, view: PhotoView, twin: string | undefined): PhotoJudgement {
  const say = photoWords;
  if (look.unreadable !== undefined) return { mark: 'unusable', reasons: [look.unreadable] };
  if (twin !== undefined) return { mark: 'unusable', reasons: [say.sameAs(twin)] };
  const problems = look.quality?.problems ?? [];
  const grave = problems.filter((problem) => problem.unusable).map((problem) => problem.message);
  if (look.tags.length === 0) {
    const why = { mirrored: say.mirrored, 'other-family': say.otherTags, none: say.noTags }[look.noTags ?? 'none'];
    return { mark: 'unusable', reasons: look.noTags === 'none' && grave.length > 0 ? grave : [why] };
  }
  const doubled = new Set(look.twice.flatMap((id) => tagPlace(id)?.tile ?? []));
  grave.push(...[...doubled].map((tile) => say.tagTwice(tileNumber(tile))));
  const others = problems.filter((problem) => !problem.unusable).map((problem) => problem.message);
  if (!view.columns) others.unshift(say.oneRow);
  const reasons = [...grave, ...others];
  return { mark: grave.length > 0 ? 'unusable' : others.length > 0 ? 'doubtful' : 'good', reasons };
}
