import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Rooms } from '../../src/photo/rooms.ts';

const steps = fc.array(fc.record({ bytes: fc.integer({ min: 0, max: 700 }), givesBack: fc.nat() }), { maxLength: 80 });

test('no two rooms overlap, whatever is taken and given back, and each begins on eight bytes', () => {
  fc.assert(
    fc.property(steps, (list) => {
      const rooms = new Rooms(1000);
      const taken: { room: Uint8Array; value: number }[] = [];
      const leave = (which: number) => rooms.give(taken.splice(which, 1)[0]!.room);
      for (const [i, { bytes, givesBack }] of list.entries()) {
        const room = rooms.take(bytes, () => {
          if (taken.length > 0) leave(0);
          return taken.length > 0;
        });
        expect(room).toHaveLength(bytes);
        expect(room.byteOffset % 8).toBe(0);
        taken.push({ room: room.fill(i), value: i });
        if (givesBack % 3 === 0) leave(givesBack % taken.length);
        for (const other of taken) expect(other.room.every((v) => v === other.value)).toBe(true);
      }
    }),
  );
});

test('what was given back joins: all of the store is to be had again', () => {
  const rooms = new Rooms(1000);
  const nobody = () => false;
  const all = Array.from({ length: 10 }, () => rooms.take(96, nobody));
  const store = all[0]!.buffer;
  for (const i of [3, 1, 2, 9, 0, 5, 8, 4, 7, 6]) rooms.give(all[i]!);
  expect(rooms.take(1000, nobody).buffer).toBe(store);
});

test('where nobody leaves, and for what is larger than all of it, there is a room outside', () => {
  const rooms = new Rooms(1000);
  const first = rooms.take(900, () => false);
  const second = rooms.take(200, () => false);
  expect(second.buffer).not.toBe(first.buffer);
  let asked = 0;
  expect(rooms.take(2000, () => ++asked > 0)).toHaveLength(2000);
  expect(asked).toBe(0);
  rooms.give(second);
  rooms.give(first);
  expect(rooms.take(1000, () => false).buffer).toBe(first.buffer);
});
