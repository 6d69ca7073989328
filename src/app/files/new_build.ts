import { defaultTolerance, type Plan } from '../../plan/plan.ts';
import type { Shoot } from '../../plan/shoot.ts';
import type { Build, PhotoEntry } from '../../store/build.ts';
import { newId } from '../../store/new_id.ts';
import { buildsWords } from '../words/builds_words.ts';

/** Thread colours offered first; the builder may choose any other. */
export const threads = [
  '#a3342b',
  '#1f5f8b',
  '#2f6b3c',
  '#b8860b',
  '#5b3a8c',
  '#7a4a21',
  '#3c4043',
  '#c2557a',
] as const;

const emptyPlan = (): Plan => ({
  title: buildsWords.newTitle,
  unit: 'mm',
  blank: { length: 0, tipDiameter: 0, buttDiameter: 0, finish: 'dark' },
  positions: [],
  tolerance: { ...defaultTolerance },
});

/** A build that is not kept yet, from a plan and a shoot where there are any. */
export function newBuild(parts: {
  plan?: Plan;
  shoot?: Shoot;
  photos?: PhotoEntry[];
  sample?: boolean;
  id?: string;
}): Build {
  const now = new Date().toISOString();
  const plan = parts.plan ?? emptyPlan();
  return {
    schema: 'prewrap.build/1',
    id: parts.id ?? newId(),
    revision: 0,
    createdAt: now,
    changedAt: now,
    sample: parts.sample ?? false,
    document: {
      plan,
      thread: threads[0],
      lengths: plan.unit,
      shoot: {
        ...(parts.shoot ?? { stage: 'rings', mat: {}, rest: { kind: 'flat' }, rollReference: 'seat-card' }),
        id: newId(),
        photos: parts.photos ?? [],
      },
    },
  };
}
