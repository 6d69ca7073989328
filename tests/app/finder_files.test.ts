import { afterEach, describe, expect, test, vi } from 'vitest';

describe('the networks’ files in a browser', () => {
  afterEach(() => void vi.unstubAllGlobals());

  test('are fetched as they are served; one that is missing is said by its name', async () => {
    const { finderWeights } = await import('../../src/vision/finder/weights_browser.ts');
    vi.stubGlobal('fetch', async (file: string) => new Response(Uint8Array.of(file.includes('lane') ? 1 : 2)));
    expect(await finderWeights()).toEqual({ strip: Uint8Array.of(2), lane: Uint8Array.of(1), tip: Uint8Array.of(2) });
    vi.stubGlobal('fetch', async () => new Response('', { status: 404 }));
    await expect(finderWeights()).rejects.toThrow(/strip\.onnx.*404/);
  });
});
