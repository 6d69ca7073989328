import { useEffect, useState } from 'react';
import { photoWords } from '../words/photo_words.ts';
import type { Walk } from './use_walk.ts';

/** What to do now, in one sentence. @param count photos of the shoot, those just taken with them */
export function cameraSays(
  { advice, adding, note, pictures: { last } }: Walk,
  automatic: boolean,
  count: number,
): string {
  const say = photoWords.camera;
  if (last?.kind === 'taking') return say.taking;
  const taken = last?.kind === 'taken' ? `${say.justTaken(count)} ` : '';
  if (note !== undefined || !advice) return note ?? say.starting;
  if (!automatic || !advice.take || advice.says !== say.takeThis) return `${taken}${advice.says}`;
  return `${taken}${adding ? say.holdStill : say.elsewhere}`;
}

/**
 * How long words must stand before they are shown, ms: what flickers from frame to frame can be neither read nor heard.
 */
const standing = 500;

/** The last of the texts that stood for a while; `at once` is not waited for. */
export function useSteady(text: string, atOnce: boolean): string {
  const [steady, setSteady] = useState(text);
  useEffect(() => {
    const shown = setTimeout(() => setSteady(text), atOnce ? 0 : standing);
    return () => clearTimeout(shown);
  }, [text, atOnce]);
  return atOnce ? text : steady;
}
