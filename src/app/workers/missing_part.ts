import { problemWords } from '../words/problem_words.ts';

/**
 * Why a part of the app did not arrive, in a sentence for the builder: without network it was never fetched; with it,
 * the server holds another version than this page. `base` is the page's base URL.
 */
export async function whyNotHere(base: string): Promise<string> {
  // only GET is answered out of what was kept, so this asks the server itself
  const ask = { method: 'HEAD', cache: 'no-store' } as const;
  const reached = await fetch(new URL('manifest.webmanifest', base), ask).then(
    (response) => response.ok,
    () => false,
  );
  return reached ? problemWords.newerOnServer : problemWords.notHere;
}
