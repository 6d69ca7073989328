import { z } from 'zod';
import { byUnit, nameField, readHeader, readUnit, readWith } from './file_schema.ts';
import { InputError } from '../input_error.ts';
import type { Guide } from '../plan.ts';
import { guideFromFile, guideSchema, guideToFile } from './guide_file.ts';
import type { Unit } from '../lengths/units.ts';
import { inFile } from './in_file.ts';
import { shortened } from '../lengths/length_text.ts';

/** A guide the builder has measured, under a name of their own; mm and degrees. */
export interface NamedGuide {
  name: string;
  guide: Guide;
}

/** Guides measured with a rule or calliper, saved and used again. */
export interface GuideSet {
  title: string;
  /** how the builder reads lengths */
  unit: Unit;
  guides: NamedGuide[];
}

const setSchema = byUnit((unit) =>
  z.object({
    title: nameField('a title'),
    guides: z
      .array(z.intersection(z.object({ name: nameField('a name of your own') }), guideSchema(unit)))
      .max(200, 'more than 200 guides; choose another file'),
  }),
);

/**
 * Reads a prewrap.guide-set/1 file, text or value:
 * `{"schema","title","unit","guides":[{"name","ringOuter","ringInner","height","lean","foot","footLength"?,"reach"?,
 * "footToward"?}]}`.
 * Throws InputError.
 */
export function parseGuideSet(input: unknown, file = 'guides.json'): GuideSet {
  const value = readHeader(input, 'prewrap.guide-set/1', file);
  const unit = readUnit(value, file);
  const { title, guides } = readWith(setSchema(unit), value, file);
  const names = guides.map((guide) => guide.name);
  const repeated = names.findIndex((name, k) => names.indexOf(name) < k);
  if (repeated >= 0) {
    throw new InputError(
      `${inFile(file)}, guides[${repeated}], name: "${shortened(names[repeated]!)}" is given twice; give each its own.`,
    );
  }
  return { title, unit, guides: guides.map(({ name, ...guide }) => ({ name, guide: guideFromFile(guide) })) };
}

/** A set as the value of its file; the inverse of `parseGuideSet`. */
export function guideSetToFile({ title, unit, guides }: GuideSet) {
  return {
    schema: 'prewrap.guide-set/1',
    title,
    unit,
    guides: guides.map(({ name, guide }) => ({ name, ...guideToFile(guide, unit) })),
  };
}
