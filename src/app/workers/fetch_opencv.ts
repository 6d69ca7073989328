import * as z from 'zod/mini';

const buildSchema = z.object({ opencv: z.optional(z.object({ file: z.string(), bytes: z.number() })) });

/**
 * Reads OpenCV's file through once, so that its arrival can be shown; importing it afterwards finds it in the browser's
 * cache. Where the app is not built (development) or nothing readable lists the file, the import fetches it unseen.
 */
export async function fetchOpenCv(base: string, onDone: (share: number) => void): Promise<void> {
  const response = await fetch(new URL('build.json', base)).catch(() => undefined);
  if (!response?.ok || !response.headers.get('content-type')?.includes('json')) return;
  const build = buildSchema.safeParse(await response.json().catch(() => undefined));
  const opencv = build.data?.opencv;
  if (!opencv) return;
  const file = await fetch(new URL(opencv.file, base));
  const reader = file.body?.getReader();
  if (!reader) return;
  let read = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return;
    read += value.length;
    onDone(Math.min(read / opencv.bytes, 1));
  }
}
