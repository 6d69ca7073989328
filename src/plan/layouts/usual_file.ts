import { z } from 'zod';
import { lengthField, nameField, numberField, placeField, present } from '../files/file_schema.ts';
import { type KnownKeys, nearestName } from '../files/known_keys.ts';
import { InputError } from '../input_error.ts';
import { shortened } from '../lengths/length_text.ts';
import type { Unit } from '../lengths/units.ts';
import type { Plan } from '../plan.ts';
import { guidesOfTrain, type GuideTrain, startingTrains, trainNamed } from './guide_trains.ts';
import type { LayoutSpec } from './wanted_layout.ts';
import { usualPractice } from './rod_kind.ts';
import { suggestedFor, type UsualSpec } from './usual_layout.ts';
import { inFile } from '../files/in_file.ts';

/** `{"kind":"usual","rod":"spinning"|"casting"|"fly", ...}` of a layout file, with any number of its rule changed. */
export function usualSchema(unit: Unit) {
  return z.object({
    kind: z.literal('usual'),
    rod: z.enum(['spinning', 'casting', 'fly']),
    reelAt: placeField(unit).optional(),
    guidesPerFoot: numberField('guides for each foot', 0.1, 5).optional(),
    guidesMore: numberField('a count', -5, 20).optional(),
    firstGap: lengthField(unit, 10, 1000).optional(),
    lastShare: numberField('a share', 0.1, 0.95).optional(),
  });
}
export const usualKeys: KnownKeys = {
  kind: true,
  rod: true,
  reelAt: true,
  guidesPerFoot: true,
  guidesMore: true,
  firstGap: true,
  lastShare: true,
};

export function usualFrom({ kind, rod, reelAt, ...changed }: z.infer<ReturnType<typeof usualSchema>>): UsualSpec {
  return {
    kind,
    rod,
    ...(reelAt !== undefined && { reelAt }),
    practice: { ...usualPractice[rod], ...present(changed) },
  };
}

/** `"guides": {"set": name, "count"?}`: a whole set as one choice. */
export const guideSetChoice = z.object({
  set: nameField('the name of a set'),
  count: numberField('a count', 1, 100)
    .refine((count) => Number.isInteger(count), 'must be a whole number')
    .optional(),
});
export const setKeys: KnownKeys = { set: true, count: true };

/**
 * The set named, as so many guides from tip to butt; without a count as many as the layout has distances for, or the
 * rules of its kind of rod suggest. Throws InputError.
 */
export function guidesOfSet(
  { set, count }: z.infer<typeof guideSetChoice>,
  layout: LayoutSpec['layout'],
  plan: Omit<Plan, 'positions'>,
  file: string,
): { train: GuideTrain; guides: LayoutSpec['guides'] } {
  const names = startingTrains.map(({ name }) => name);
  const train = trainNamed(set);
  if (!train) {
    const near = nearestName(set, names);
    const known = near
      ? `write "${near}" if that is meant`
      : `known are ${names.map((name) => `"${name}"`).join(', ')}`;
    throw new InputError(`${inFile(file)}, guides, set: "${shortened(set)}" is not known here; ${known}.`);
  }
  const wanted =
    count ??
    (layout.kind === 'usual'
      ? suggestedFor(layout, plan).guides
      : layout.kind === 'entered' && 'at' in layout
        ? layout.at.length
        : undefined);
  if (wanted === undefined)
    throw new InputError(`${inFile(file)}, guides, count: is missing; say how many guides of the set there are.`);
  if (!(wanted >= 1 && wanted <= 100))
    throw new InputError(
      `${inFile(file)}, guides: ${wanted} guides are more than are taken; give "count" from 1 to 100.`,
    );
  return { train, guides: guidesOfTrain(train, wanted).map((guide) => ({ guide })) };
}
