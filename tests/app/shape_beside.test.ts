import { expect, test } from 'vitest';
import { shapeBeside } from '../../src/app/plan/shape_beside.ts';
import type { NamedGuide } from '../../src/plan/files/guide_set.ts';

const shape = (name: string, ringOuter: number): NamedGuide => ({
  name,
  guide: { ringOuter, ringInner: ringOuter - 2, height: 9, lean: 0, foot: 'single' },
});

test('a shape under a name that another has is numbered; the same shape is not', () => {
  const own = [shape('Fly 8', 8), shape('Fly 8 (2)', 9)];
  expect(shapeBeside(shape('Fly 10', 10), own).name).toBe('Fly 10');
  expect(shapeBeside(shape('Fly 8', 8), own).name).toBe('Fly 8');
  expect(shapeBeside(shape('Fly 8', 10), own).name).toBe('Fly 8 (3)');
});

test('the longest name stays one that files take, and its own', () => {
  const name = 'a'.repeat(200);
  const own: NamedGuide[] = [];
  for (let n = 0; n < 12; n++) own.push(shapeBeside(shape(name, 8 + n), own));
  expect(new Set(own.map((one) => one.name)).size).toBe(12);
  for (const one of own) expect(one.name.length).toBeLessThanOrEqual(200);
});
