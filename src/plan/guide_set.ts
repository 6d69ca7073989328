import { z } from 'zod';
import { nameField, readHeader, readWith } from './file_schema.ts';
import { InputError } from './input_error.ts';
import type { Guide } from './plan.ts';
import { guideFromFile, guideSchema, guideToFile } from './guide_file.ts';
import type { Unit } from './units.ts';

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

/**
 * Reads a prewrap.guide-set/1 file, text or value:
 * `{"schema","title","unit","guides":[{"name","ringOuter","ringInner","height","lean","foot","footLength"?,"reach"?,"footToward"?}]}`.
 * Throws InputError.
 */
export function parseGuideSet(input: unknown, file = 'guides.json'): GuideSet {
  const value = readHeader(input, 'prewrap.guide-set/1', file);
  const { unit } = readWith(z.object({ unit: z.enum(['mm', 'in']) }), value, file);
  const entry = z.intersection(z.object({ name: nameField('a name of your own') }), guideSchema(unit));
  const { title, guides } = readWith(
    z.object({
      title: nameField('a title'),
      guides: z.array(entry).max(200, 'more than 200 guides; choose another file'),
    }),
    value,
    file,
  );
  const names = guides.map((guide) => guide.name);
  const repeated = names.findIndex((name, k) => names.indexOf(name) < k);
  if (repeated >= 0) {
    throw new InputError(`${file}, guides[${repeated}], name: "${names[repeated]}" is given twice; give each its own.`);
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

const shape = (
  name: string,
  [ringOuter, ringInner, height, lean, footLength, reach]: readonly [number, number, number, number, number, number],
  foot: Guide['foot'],
): NamedGuide => ({ name, guide: { ringOuter, ringInner, height, lean, foot, footLength, reach } });

/** Shapes to start from before one's own are measured: made up, of middling proportions; common practice, no source. */
export const startingGuides: GuideSet = {
  title: 'Starting shapes',
  unit: 'mm',
  guides: [
    shape('6 single foot', [6, 4.3, 6.5, 0, 9, 2], 'single'),
    shape('8 single foot', [8, 5.8, 10, 3, 11, 3], 'single'),
    shape('10 single foot', [10, 7.2, 15, 6, 12, 4], 'single'),
    shape('16 single foot', [16, 11.4, 22, 9, 15, 6], 'single'),
    shape('8 double foot', [8, 5.8, 8.2, 4, 9, 4], 'double'),
    shape('12 double foot', [12, 8.7, 12.6, 5, 11, 6], 'double'),
    shape('20 double foot', [20, 14.7, 27, 10, 14, 10], 'double'),
    shape('25 double foot', [25, 18.2, 32, 11, 16, 12], 'double'),
  ],
};
