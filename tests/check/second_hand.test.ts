import { setTimeout as after } from 'node:timers/promises';
import { MessageChannel } from 'node:worker_threads';
import { beforeAll, describe, expect, test } from 'vitest';
import { oneHand } from '../../src/check/hands.ts';
import { type DoPiece, piecesBy } from '../../src/check/pieces.ts';
import { type FurtherThread, twoHands } from '../../src/check/second_hand.ts';
import { servePieces } from '../../src/check/serve_pieces.ts';
import { joinSightings } from '../../src/adjust/join_sightings.ts';
import { placeRing, plannedRing } from '../../src/adjust/ring_state.ts';
import { whereItTells } from '../../src/adjust/telling_views.ts';
import { photosAside } from '../../src/photo/photos_aside.ts';
import { InputError } from '../../src/plan/input_error.ts';
import type { RingGuide } from '../../src/plan/plan.ts';
import { type Finder, type FinderWeights, loadFinder } from '../../src/vision/finder/finder.ts';
import { finderWeights } from '../../src/vision/finder/weights_node.ts';
import type { View } from '../../src/vision/strip.ts';
import { sightingsOf } from '../world/made_up_sightings.ts';
import { drawShoot } from '../world/drawn_shoot.ts';
import { cameraLookingAt, takePhoto } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';
import { observePhotos } from '../world/world.ts';

const axis = straightAxis(160, 1.5, 3, 8);
const guide: RingGuide = { ringOuter: 7, ringInner: 5, height: 8, lean: 0, foot: 'single' };
const ring = placeRing(axis, { ...plannedRing(guide).shape.mean, along: 60, right: 0, up: 10 }).ring;
const size = { width: 420, height: 220 };
const inMemory = { add: () => undefined, read: () => {} };
/** Photos as a check holds them: in one piece of memory. */
const { keep } = photosAside(inMemory, 4e6);
const views = (
  [
    [30, 20, 290],
    [70, -60, 280],
    [50, 70, 300],
    [90, 10, 270],
  ] as const
).map((eye, i): View => {
  const camera = cameraLookingAt(eye, [50, 0, 10], 1000, size.width, size.height);
  const scene = { axis, rings: [ring], bands: [], paper: 215, blank: 50, ring: 70 };
  const { photo } = takePhoto(scene, camera, size, 2, i + 1);
  return { photo: keep(photo), camera };
});
const strip = (index: number) => ({ view: views[index]!, index, axis, range: { from: -10, to: 160 } });

let weights: FinderWeights;
let finder: Finder;
beforeAll(async () => {
  weights = await finderWeights();
  finder = await loadFinder(weights);
});

/** A thread as far as messages go: each is copied as it would be between threads. */
function servingThread(): FurtherThread & { answered: () => number } {
  const { port1, port2 } = new MessageChannel();
  let count = 0;
  const serve = servePieces((message) => {
    count++;
    port2.postMessage(message);
  });
  port2.on('message', (message: unknown) => void serve(message));
  return {
    post: (message, transfer) => port1.postMessage(message, transfer),
    listen: ({ message, ended }) => port1.on('message', message).on('close', ended),
    end: () => port1.close(),
    answered: () => count,
  };
}

describe('two hands', { timeout: 60_000 }, () => {
  test('give what one gives, to the last digit', async () => {
    const thread = servingThread();
    const both = twoHands(piecesBy(finder), thread, weights);
    const alone = oneHand(piecesBy(finder));
    const share: number[] = [];
    expect(await both.each('strip', 3, strip, (done) => void share.push(done))).toEqual(
      await alone.each('strip', 3, strip),
    );
    expect(share).toEqual(share.toSorted((a, b) => a - b));
    expect(share.every((done) => done >= 0 && done < 1)).toBe(true);

    const lane = { origin: [0, 0, 0], direction: [1, 0, 0], from: 0, to: 160, pages: [] } as never;
    const lanes = (index: number) => ({ view: views[index]!, index, lane });
    expect(await both.each('lane', 2, lanes)).toEqual(await alone.each('lane', 2, lanes));

    const [candidate] = joinSightings(views, axis, sightingsOf(views, axis, [ring], { score: 0.9 }));
    const rings = () => whereItTells(views, axis, candidate!, [guide], guide).looked;
    const measured = await both.each('ring', 2, rings);
    expect(measured).toEqual(await alone.each('ring', 2, rings));
    expect(Math.abs(measured[0]!.along - 60)).toBeLessThan(0.5);
    const walk = { photos: observePhotos(drawShoot(2, { tiles: 2, photos: 2 }).world), readings: {} };
    const begun = both.begin('mat', walk);
    expect(await begun()).toEqual(await alone.begin('mat', walk)());
    expect(thread.answered()).toBeGreaterThanOrEqual(4);
    both.letGo();
    expect(await both.each('strip', 1, strip)).toEqual(await alone.each('strip', 1, strip));
  });

  /** Pieces that are numbers, doubled. */
  const doubled = ((_: string, of: number) => 2 * of) as unknown as DoPiece;
  const numbers = (place: number) => (place + 1) as never;
  type Heard = Parameters<FurtherThread['listen']>[0];
  /** A thread that answers each message by a word of `say`. */
  const answering = (say: (message: { piece?: number; of?: number }, heard: Heard) => void): FurtherThread => {
    let heard: Heard;
    return {
      post: (message) => say(message as { piece?: number; of?: number }, heard),
      listen: (own) => void (heard = own),
      end: () => {},
    };
  };
  const later = (work: () => void) => void setTimeout(work, 1);
  const faults: Record<string, Parameters<typeof answering>[0]> = {
    'that can’t be started': (_, { ended }) => later(ended),
    'that can’t be spoken to': () => {
      throw new Error('no such thread');
    },
    'that dies over its first piece': ({ piece }, { ended }) => piece && later(ended),
    'that dies after its first piece': ({ piece, of }, { message, ended }) =>
      piece && later(() => (piece === 1 ? message({ piece, gives: 2 * of! }) : ended())),
    'that talks nonsense': ({ piece }, { message }) => piece && later(() => message({ piece: 'one' })),
    'that fails at each piece': ({ piece }, { message }) => piece && later(() => message({ piece, failed: 'no room' })),
    'that says nothing': () => {},
    'that answers late, twice and what was never asked': ({ piece, of }, { message }) => {
      if (piece === undefined) return;
      void after(piece === 2 ? 120 : 1).then(() => {
        for (const own of [piece, piece, 999]) message({ piece: own, gives: 2 * of! });
      });
    },
  };
  test.each(Object.entries(faults))('with a thread %s everything is done all the same', async (_, say) => {
    const hands = twoHands(doubled, answering(say), weights, 60);
    for (const count of [0, 1, 2, 7]) {
      const all = await hands.each('lane', count, numbers);
      expect(all).toEqual(Array.from({ length: count }, (__, place) => 2 * (place + 1)));
    }
    const [first, second] = [hands.begin('lane', numbers(3)), hands.begin('lane', numbers(4))];
    expect(await hands.each('lane', 2, numbers)).toEqual([2, 4]);
    expect([await second(), await first(), await second()]).toEqual([10, 8, 10]);
    hands.letGo();
    expect(await hands.begin('lane', numbers(5))()).toBe(12);
  });

  test('a piece that goes wrong goes wrong as it does here, and the next are done', async () => {
    const refuses = ((_: string, of: number) => {
      if (of === 1) throw new InputError('The first is none.');
      return 2 * of;
    }) as unknown as DoPiece;
    const failing = ({ piece, of }: { piece?: number; of?: number }, { message }: Heard) =>
      piece && later(() => message(of === 1 ? { piece, failed: 'The first is none.' } : { piece, gives: 2 * of! }));
    const hands = twoHands(refuses, answering(failing), weights, 60);
    await expect(hands.each('lane', 5, numbers)).rejects.toThrow(InputError);
    expect(await hands.each('lane', 4, (place) => numbers(place + 1))).toEqual([4, 6, 8, 10]);
  });

  test('a piece that waits at a thread which is still at another one is done here', async () => {
    const here: number[] = [];
    const noting = ((_: string, of: number) => {
      here.push(of);
      return 2 * of;
    }) as unknown as DoPiece;
    let told: Promise<void> = Promise.resolve();
    const slow = ({ piece, of }: { piece?: number; of?: number }, { message }: Heard) => {
      if (piece) told = told.then(() => after(100)).then(() => message({ piece, gives: 2 * of! }));
    };
    const hands = twoHands(noting, answering(slow), weights);
    expect(await hands.each('lane', 5, numbers)).toEqual([2, 4, 6, 8, 10]);
    expect(here).toEqual([3, 4, 5, 2]);
    expect(await hands.each('lane', 1, numbers)).toEqual([2]);
  });

  test('whoever is told how far it got may end it', async () => {
    const hands = twoHands(
      doubled,
      answering(() => {}),
      weights,
      60,
    );
    const end = () => Promise.reject(new Error('nobody waits for this any more'));
    await expect(hands.each('lane', 5, numbers, end)).rejects.toThrow('nobody waits');
    expect(await hands.each('lane', 3, numbers)).toEqual([2, 4, 6]);
  });

  test('a photo that is held among others is handed over without them', async () => {
    const sent: Uint8Array[] = [];
    const listening: FurtherThread = answering((message) => {
      const { of } = message as unknown as { of?: ReturnType<typeof strip> };
      if (of) sent.push(of.view.photo.luma, of.view.photo.redDifference);
    });
    const hands = twoHands(piecesBy(finder), listening, weights, 60);
    await hands.each('strip', 3, strip);
    expect(views[0]!.photo.luma.buffer.byteLength).toBe(4e6);
    expect(sent.length).toBeGreaterThan(0);
    for (const plane of sent) expect(plane.buffer.byteLength).toBe(plane.length);
    expect(sent[0]).toEqual(views[0]!.photo.luma);
  });

  test('what photos share is handed over as one', () => {
    const sent: { photos: { lens: object }[] }[] = [];
    const listening = answering((message) => {
      const { of } = message as unknown as { of?: (typeof sent)[number] };
      if (of) sent.push(of);
    });
    const lens = { covariance: new Float64Array(8).subarray(2) };
    const photos = [{ lens }, { lens }, { lens: { ...lens } }];
    twoHands(doubled, listening, weights, 60).begin('mat', { photos } as never);
    const [first, second, third] = sent[0]!.photos;
    expect(first!.lens).toEqual(lens);
    expect(second!.lens).toBe(first!.lens);
    expect(third!.lens).not.toBe(first!.lens);
  });
});

test('a thread that is asked before it has its finder says so, and one whose finder can’t be loaded', async () => {
  const said: unknown[] = [];
  const serve = servePieces((message) => void said.push(message));
  await serve({ piece: 1, name: 'strip', of: strip(0) });
  await serve({ weights: { strip: new Uint8Array(3), lane: new Uint8Array(3), tip: new Uint8Array(3) } });
  await serve({ piece: 2, name: 'strip', of: strip(0) });
  expect(said).toEqual([
    { piece: 1, failed: expect.stringContaining('before') },
    { piece: 2, failed: expect.any(String) },
  ]);
});
