import { createReadStream } from 'node:fs';
import { readFile, stat } from 'node:fs/promises';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { extname, join, normalize } from 'node:path';
import { readHeaders } from './read_headers.ts';

const types: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.wasm': 'application/wasm',
  '.css': 'text/css',
  '.json': 'application/json',
  '.webmanifest': 'application/manifest+json',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.jpg': 'image/jpeg',
};

/**
 * A folder on localhost under a sub-path, as a static host would serve it; `stop` takes it off the network. Of files
 * whose path `stalls` matches only the first bytes arrive, as over a network that has gone quiet. `made` are files made
 * when first asked for.
 */
export async function serveFolder(
  folder: string,
  {
    subPath = '/bench/prewrap/',
    port = 0,
    stalls,
    made = {},
  }: { subPath?: string; port?: number; stalls?: RegExp; made?: Record<string, () => Promise<Buffer>> } = {},
): Promise<{ url: string; port: number; stalled: () => number; stop: () => Promise<void> }> {
  let stalled = 0;
  const rules = readHeaders(await readFile(join(folder, '_headers'), 'utf8').catch(() => ''));
  const server: Server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname);
    if (!path.startsWith(subPath)) return response.writeHead(404).end();
    const inside = normalize(path.slice(subPath.length) || 'index.html');
    const file = join(folder, inside);
    const headers = {
      'content-type': types[extname(file)] ?? 'application/octet-stream',
      ...Object.fromEntries(rules.get(`/${inside}`) ?? []),
    };
    const make = made[inside];
    if (make)
      return void make().then(
        (bytes) => response.writeHead(200, headers).end(bytes),
        (error: unknown) => response.writeHead(500).end(String(error)),
      );
    stat(file).then(
      (found) => {
        if (!found.isFile() || inside.startsWith('..')) return response.writeHead(404).end();
        response.writeHead(200, headers);
        if (stalls?.test(inside)) {
          stalled++;
          return createReadStream(file, { end: 100_000 }).pipe(response, { end: false });
        }
        return createReadStream(file).pipe(response);
      },
      () => response.writeHead(404).end(),
    );
  });
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  const address = server.address() as AddressInfo;
  return {
    url: `http://localhost:${address.port}${subPath}`,
    port: address.port,
    stalled: () => stalled,
    stop: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}
