import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/plan/input_error.ts';
import { parseShoot, shootToFile } from '../../src/plan/files/shoot_file.ts';

const file = () => ({
  schema: 'prewrap.shoot/1',
  stage: 'rings' as string,
  photos: ['photos/01.jpg', 'photos/02.jpg'],
  mat: { barAlong: 99.6, barAcross: 99.8, span: { fromTag: 0, toTag: 44, length: 1344 } } as Record<string, unknown>,
  rest: { kind: 'flat', gripDiameter: 26 } as unknown,
  rollReference: 'seat-card' as string,
});

const withChange = (change: (value: ReturnType<typeof file>) => unknown) => {
  const value = file();
  change(value);
  return value;
};

describe('shoot file', () => {
  it('becomes a shoot, and goes back', () => {
    const shoot = parseShoot(JSON.stringify(file()));
    expect(shootToFile(shoot)).toEqual(file());
    expect(parseShoot(shootToFile(shoot))).toEqual(shoot);
  });

  it('takes the rows of squares, and a span read again', () => {
    const mat = { rowAlong: 223.6, rowAcross: 167.8, span: { fromTag: 0, toTag: 44, length: 1344, again: [1344.5] } };
    const shoot = parseShoot(withChange((value) => (value.mat = mat)));
    expect(shoot.mat).toEqual(mat);
    expect(shootToFile(shoot)).toMatchObject({ mat });
    expect(() => parseShoot(withChange((value) => (value.mat = { rowAlong: 100 })))).toThrow(InputError);
  });

  it('keeps what was not measured absent', () => {
    const shoot = parseShoot(
      withChange((value) => {
        value.mat = {};
        value.rest = { kind: 'flat' };
      }),
    );
    expect(shoot.mat).toEqual({});
    expect(shoot.rest).toEqual({ kind: 'flat' });
  });

  it('takes the angle from the spine line and an earlier marks report', () => {
    const shoot = parseShoot(
      withChange((value) =>
        Object.assign(value, { rollReference: 'spine-line', rollAngle: 180, earlierMarks: 'marks.json' }),
      ),
    );
    expect(shoot).toMatchObject({ rollAngle: 180, earlierMarks: 'marks.json' });
  });

  it('takes a shoot of the wrapped guides, with an earlier report of the marks, and goes back', () => {
    const wrapped = { ...file(), stage: 'wrapped', earlierMarks: 'marks.json' };
    expect(shootToFile(parseShoot(wrapped))).toEqual(wrapped);
  });

  it('takes a shoot of the bare blank, turned, without a roll reference, and goes back', () => {
    const { rollReference: _, ...rest } = file();
    const blank = { ...rest, stage: 'blank', turn: 270 };
    expect(shootToFile(parseShoot(blank))).toEqual(blank);
    expect(parseShoot(blank)).toMatchObject({ stage: 'blank', turn: 270 });
  });

  it('reads a rule in inches where the text says so', () => {
    expect(parseShoot(withChange((value) => (value.mat.barAlong = '3 15/16 in'))).mat.barAlong).toBeCloseTo(
      100.0125,
      9,
    );
  });

  it.each<[string, (value: ReturnType<typeof file>) => unknown, string]>([
    ['no photos', (v) => (v.photos = []), 'photos: names no photo'],
    ['a photo twice', (v) => v.photos.push('photos/01.jpg'), 'photos[2]: "photos/01.jpg" is listed twice'],
    ['an unknown stage', (v) => (v.stage = 'wraps'), 'stage: must be "blank" or "marks" or "rings" or "wrapped"'],
    ['no roll reference', (v) => delete (v as { rollReference?: string }).rollReference, 'rollReference: is missing'],
    ['a turn of the wrong stage', (v) => Object.assign(v, { turn: 90 }), 'turn: belongs to a blank shoot'],
    ['a roll reference on a bare blank', (v) => (v.stage = 'blank'), 'rollReference: means nothing on a bare blank'],
    ['an unknown reference', (v) => (v.rollReference = 'eye'), 'rollReference: must be'],
    ['an unknown rest', (v) => (v.rest = { kind: 'hung' }), 'rest'],
    ['blocks without a height', (v) => (v.rest = { kind: 'blocks' }), 'rest, axisHeight: is missing'],
    ['a bar no printer explains', (v) => (v.mat.barAlong = 10), 'mat, barAlong: 10 mm is outside'],
    [
      'a span across rows',
      (v) => (v.mat.span = { fromTag: 0, toTag: 45, length: 1344 }),
      'mat, span, toTag: is in the other row',
    ],
    [
      'a span of one tag',
      (v) => (v.mat.span = { fromTag: 3, toTag: 3, length: 24 }),
      'mat, span, toTag: is the same tag',
    ],
    [
      'a tag off the mat',
      (v) => (v.mat.span = { fromTag: 0, toTag: 580, length: 1344 }),
      'mat, span, toTag: must be the number',
    ],
    [
      'an angle without a spine',
      (v) => Object.assign(v, { rollAngle: 180 }),
      'rollAngle: is the angle from the spine line',
    ],
    [
      'earlier marks in a marks shoot',
      (v) => Object.assign(v, { stage: 'marks', earlierMarks: 'a.json' }),
      'earlierMarks',
    ],
    ['another version', (v) => (v.schema = 'prewrap.shoot/9'), 'schema: "prewrap.shoot/9" is another version'],
  ])('refuses %s, naming the place', (_, change, words) => {
    const read = () => parseShoot(withChange(change), 'shoot.json');
    expect(read).toThrow(InputError);
    expect(read).toThrow(words);
    expect(read).toThrow(/^shoot\.json, /);
  });
});
