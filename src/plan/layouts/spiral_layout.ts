import { InputError } from '../input_error.ts';

/**
 * Guides that walk round the blank: those nearest the reel stand on its side (top), the rest opposite (underneath), a
 * few in between. So wrapped, a loaded casting rod does not want to roll over (common practice, no source).
 */
export interface SpiralCase {
  /** which way the guides go from the reel toward the tip, as seen from the butt */
  toward: 'clockwise' | 'anticlockwise';
  /** guides on the reel's side before the walk begins; 1 when absent */
  onTop?: number;
  /** guides between top and underneath, or the angle of each from the top, degrees, from the butt toward the tip */
  transition: number | readonly number[];
}

/** Guides on top before the walk where the builder says nothing; common practice, no source. */
export const usualOnTop = 1;

/**
 * The roll of each guide from tip to butt, degrees from the reel's side, clockwise as seen from the butt, within
 * -180..180. Angles of the guides in between that are not given share the half turn evenly. Throws InputError where
 * there are too few guides or the angles do not run one way.
 */
export function layOutSpiral({ toward, onTop = usualOnTop, transition }: SpiralCase, guides: number): number[] {
  const between = typeof transition === 'number' ? transition : transition.length;
  if (!Number.isInteger(onTop) || onTop < 0 || !Number.isInteger(between) || between < 0) {
    throw new InputError('The spiral needs whole numbers of guides on top and in between.');
  }
  if (guides < onTop + between + 1) {
    throw new InputError(
      `The spiral takes ${onTop} on top, ${between} in between and at least one underneath, but there are ${guides} guides; add some or take fewer in between.`,
    );
  }
  const angles =
    typeof transition === 'number'
      ? Array.from({ length: between }, (_, k) => (180 * (k + 1)) / (between + 1))
      : [...transition];
  const steps = [0, ...angles, 180];
  if (steps.some((angle, k) => k > 0 && !(angle > steps[k - 1]!))) {
    throw new InputError(
      'The angles of the spiral must grow from the butt toward the tip and lie between 0 and 180 degrees.',
    );
  }
  const sign = toward === 'clockwise' ? 1 : -1;
  const fromButt = [
    ...Array.from({ length: onTop }, () => 0),
    ...angles.map((angle) => sign * angle),
    ...Array.from({ length: guides - onTop - between }, () => 180),
  ];
  return fromButt.toReversed();
}
