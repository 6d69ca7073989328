import { expectTypeOf, test } from 'vitest';
import type { PerPhoto, PhotoIndex } from '../../src/photo/photo.ts';
import type { PerView, ViewIndex } from '../../src/vision/strip.ts';

test('a place in the list of photos does not pass for one in the list of views, nor the other way round', () => {
  expectTypeOf<number>().toExtend<PhotoIndex>();
  expectTypeOf<number>().toExtend<ViewIndex>();
  expectTypeOf<ViewIndex>().not.toExtend<PhotoIndex>();
  expectTypeOf<PhotoIndex>().not.toExtend<ViewIndex>();
  expectTypeOf<PerPhoto<string>>().not.toExtend<PerView<string>>();
  expectTypeOf<PerView<string>>().not.toExtend<PerPhoto<string>>();
  const [photo, view]: [PhotoIndex, ViewIndex] = [0, 1];
  const names: PerPhoto<string> = ['a.jpg', 'b.jpg'];
  expectTypeOf(names[photo]).toEqualTypeOf<string | undefined>();
  // @ts-expect-error a view's place is no photo's
  void names[view];
});
