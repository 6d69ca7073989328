import { z } from 'zod';
import {
  byUnit,
  degreesField,
  lengthField,
  longestRod,
  nameField,
  present,
  readHeader,
  readUnit,
  readWith,
  stretchFields,
} from './file_schema.ts';
import {
  boreInsideRing,
  guideFromFile,
  guideSchema,
  guideToFile,
  lengthToFile,
  ringFields,
  rollField,
} from './guide_file.ts';
import { slipsBetween } from './known_keys.ts';
import { InputError } from '../input_error.ts';
import { jointsSchema, jointToFile, pieceNumber, refuseImpossibleJoints } from './joint_file.ts';
import { formatLength } from '../lengths/length_text.ts';
import { defaultTolerance, type Fitting, type Plan, plannedDatum, type TipTop } from '../plan.ts';
import type { Unit } from '../lengths/units.ts';
import { inFile, placeName } from './in_file.ts';
import { shortened } from '../lengths/length_text.ts';

/** The shortest blank taken, mm: below it the numbers are most likely inches in a plan that says millimetres. */
const shortestBlank = 100;
const widestBlank = 100;

/** The plan's own fields as a zod shape, for files that carry a plan's parts. */
export const planFields = (unit: Unit) => ({
  title: nameField('a title'),
  blank: z
    .object({
      length: lengthField(unit, shortestBlank, longestRod),
      tipDiameter: lengthField(unit, 0.3, widestBlank),
      buttDiameter: lengthField(unit, 0.3, widestBlank),
      finish: z.enum(['dark', 'light']),
    })
    .refine((blank) => blank.tipDiameter <= blank.buttDiameter, {
      path: ['tipDiameter'],
      message: 'the tip is thicker than the butt; measure both again or exchange them',
    }),
  tolerance: z
    .object({
      along: lengthField(unit, 0.1, 50),
      roll: degreesField(0.1, 90),
    })
    .optional(),
  markedBy: z.enum(['centre', 'tip-edge', 'butt-edge']).optional(),
  section: z
    .object({
      startsAt: lengthField(unit, 0, longestRod),
      piece: pieceNumber(1).optional(),
      of: pieceNumber(2).optional(),
    })
    .optional(),
  joints: jointsSchema(unit).optional(),
  fittings: z
    .array(
      z
        .object({ kind: z.enum(['ferrule', 'winding-check', 'grip', 'reel-seat']), ...stretchFields(unit) })
        .refine((fitting) => fitting.from < fitting.to, {
          path: ['to'],
          message: 'must lie nearer the butt than "from"; exchange the two',
        }),
    )
    .optional(),
});

const tipTopSchema = (unit: Unit) =>
  z
    .object({
      ...ringFields(unit),
      tubeLength: lengthField(unit, 1, 60),
      tubeInner: lengthField(unit, 0.3, 20),
      roll: rollField,
      home: lengthField(unit, 0, 20).optional(),
    })
    .superRefine((tipTop, context) => {
      boreInsideRing(tipTop, context);
      if (tipTop.home !== undefined && tipTop.home >= tipTop.tubeLength)
        context.addIssue({
          code: 'custom',
          path: ['home'],
          message: 'is longer than the tube, so the blank would not reach into it; measure both again',
        });
    });

const positionSchema = (unit: Unit) =>
  z
    .object({
      id: nameField('a name of your own'),
      kind: z.enum(['guide', 'tip-wrap', 'ferrule-wrap', 'hook-keeper']),
      at: lengthField(unit, 0, longestRod),
      guide: guideSchema(unit).optional(),
    })
    .superRefine((position, context) => {
      if (position.kind === 'guide' && !position.guide) {
        context.addIssue({
          code: 'custom',
          path: ['guide'],
          message: 'the ring is not described; add "guide" with ringOuter, ringInner, height, lean and foot',
        });
      }
      if (position.kind !== 'guide' && position.guide) {
        context.addIssue({
          code: 'custom',
          path: ['guide'],
          message: `a ${position.kind} has no ring; leave "guide" out or set "kind" to "guide"`,
        });
      }
    });

const planSchema = byUnit((unit) =>
  z.object({
    ...planFields(unit),
    datum: z.enum(['blank-tip', 'tip-top-ring', 'tube-end']),
    tipTop: tipTopSchema(unit).optional(),
    positions: z.array(positionSchema(unit)).max(200, 'more than 200 positions; choose another file'),
  }),
);

const optionalNames = ['tolerance', 'markedBy', 'section', 'fittings', 'joints', 'tipTop'];

/**
 * Reads a prewrap.plan/1 file: its text, or its value already parsed; `file` is named in errors. Lengths become
 * millimetres, positions run from tip to butt (guides may be listed either way round, but not mixed). A missing
 * tolerance takes the default; unknown fields are left aside. Throws InputError.
 */
export function parsePlan(input: unknown, file = 'plan.json'): Plan {
  const value = readHeader(input, 'prewrap.plan/1', file);
  const unit = readUnit(value, file);
  refuseNearNames(value, file);
  const { title, datum, blank, positions, tolerance, markedBy, section, fittings, joints, tipTop } = readWith(
    planSchema(unit),
    value,
    file,
  );
  const plan: Plan = {
    title,
    unit,
    blank,
    positions: positions.map(({ guide, ...rest }) => (guide ? { ...rest, guide: guideFromFile(guide) } : rest)),
    tolerance: tolerance ?? { ...defaultTolerance },
    ...(markedBy && { markedBy }),
    ...(section && { section: present(section) }),
    ...(fittings && { fittings }),
    ...(joints && { joints: joints.map(present) }),
    ...(datum !== 'blank-tip' && { datum }),
    ...(tipTop && { tipTop: present(tipTop) }),
  };
  refuseStrayTipTop(plan, file);
  refuseContradictions(plan, file);
  refuseImpossibleJoints(plan, file);
  plan.positions.sort((a, b) => a.at - b.at);
  return plan;
}

/** A tip-top stands at the rod's tip, and a datum on it needs it. */
function refuseStrayTipTop({ datum, tipTop, section }: Plan, file: string): void {
  if (datum && !tipTop)
    throw new InputError(
      `${inFile(file)}, datum: "${datum}" is a place on the tip-top, which is not described; add "tipTop" with ringOuter, ringInner, tubeLength and tubeInner.`,
    );
  if (tipTop && section && section.startsAt > 0)
    throw new InputError(
      `${inFile(file)}, tipTop: belongs to the section that starts at the rod's tip; leave it out, or set section.startsAt to 0.`,
    );
}

/** A misspelt optional name would be left aside unnoticed, and its default taken: refused. */
function refuseNearNames(value: Record<string, unknown>, file: string): void {
  const plain = (name: string) => name.toLowerCase().replace(/[^a-z]/g, '');
  for (const given of Object.keys(value)) {
    const near = optionalNames.find((name) => given !== name && slipsBetween(plain(given), plain(name)) <= 1);
    if (near)
      throw new InputError(
        `${inFile(file)}, ${shortened(given)}: is not known; write "${near}" if that is meant, or leave it out.`,
      );
  }
}

function refuseContradictions(plan: Plan, file: string): void {
  const display = plan.unit;
  const place = (index: number) => `${inFile(file)}, positions[${index}] "${placeName(plan.positions[index]!.id)}"`;
  const start = plan.section?.startsAt ?? 0;
  const end = start + plan.blank.length - plannedDatum(plan);
  const firstPlace = new Map<string, number>();
  for (const [index, position] of plan.positions.entries()) {
    const earlier = firstPlace.get(position.id);
    if (earlier !== undefined) {
      throw new InputError(`${place(index)}, id: the same name stands at positions[${earlier}]; give each its own.`);
    }
    firstPlace.set(position.id, index);
    if (position.at > end || position.at < start) {
      const piece = plan.section ? 'the section' : 'the blank';
      throw new InputError(
        `${place(index)}, at: ${formatLength(position.at, display)} is off ${piece}, which runs from ` +
          `${formatLength(start, display)} to ${formatLength(end, display)}; check the distance and blank.length.`,
      );
    }
  }
  const guides = [...plan.positions.entries()].filter(([, position]) => position.kind === 'guide');
  let direction = 0;
  for (const [order, [index, guide]] of guides.entries()) {
    const before = guides[order - 1]?.[1];
    if (!before) continue;
    const step = Math.sign(guide.at - before.at);
    const at = formatLength(guide.at, display);
    if (step === 0)
      throw new InputError(`${place(index)}, at: "${placeName(before.id)}" stands at ${at} too; correct one of them.`);
    if (direction !== 0 && step !== direction) {
      throw new InputError(
        `${place(index)}, at: ${at} is out of order after "${placeName(before.id)}" at ${formatLength(before.at, display)}; ` +
          'list the guides from tip to butt and correct the distance.',
      );
    }
    direction = step;
  }
}

const tipTopToFile = (tipTop: TipTop, unit: Unit) => ({
  ...tipTop,
  ringOuter: lengthToFile(tipTop.ringOuter, unit),
  ringInner: lengthToFile(tipTop.ringInner, unit),
  tubeLength: lengthToFile(tipTop.tubeLength, unit),
  tubeInner: lengthToFile(tipTop.tubeInner, unit),
  ...(tipTop.home !== undefined && { home: lengthToFile(tipTop.home, unit) }),
});

/** A plan as the value of a prewrap.plan/1 file, lengths in the plan's unit; the inverse of `parsePlan`. */
export function planToFile(plan: Plan) {
  const length = (mm: number) => lengthToFile(mm, plan.unit);
  const fitting = (f: Fitting) => ({ ...f, from: length(f.from), to: length(f.to) });
  return {
    schema: 'prewrap.plan/1',
    title: plan.title,
    unit: plan.unit,
    datum: plan.datum ?? 'blank-tip',
    blank: {
      length: length(plan.blank.length),
      tipDiameter: length(plan.blank.tipDiameter),
      buttDiameter: length(plan.blank.buttDiameter),
      finish: plan.blank.finish,
    },
    positions: plan.positions.map((p) => ({
      ...p,
      at: length(p.at),
      ...(p.guide && { guide: guideToFile(p.guide, plan.unit) }),
    })),
    tolerance: { along: length(plan.tolerance.along), roll: plan.tolerance.roll },
    ...(plan.markedBy && { markedBy: plan.markedBy }),
    ...(plan.section && { section: { ...plan.section, startsAt: length(plan.section.startsAt) } }),
    ...(plan.fittings && { fittings: plan.fittings.map(fitting) }),
    ...(plan.joints && { joints: plan.joints.map((joint) => jointToFile(joint, plan.unit)) }),
    ...(plan.tipTop && { tipTop: tipTopToFile(plan.tipTop, plan.unit) }),
  };
}
