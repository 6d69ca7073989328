/**
 * The command line, put together from `src/cli` and kept in `build/`: reading some two hundred TypeScript
 * files one by one would take every command a second or two. Made anew whenever a source has changed since.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, '../..');
const builder = join(here, 'put_together.mjs');

/** When the newest of the sources changed, folders (for what was taken out) and packages included. */
function newest() {
  const source = join(root, 'src');
  const inside = readdirSync(source, { recursive: true }).map((name) => join(source, name));
  return Math.max(...[...inside, source, join(root, 'package-lock.json')].map((file) => statSync(file).mtimeMs));
}

const folder = join(root, 'build', String(Math.round(newest())));
// in a process of its own: what it needs of memory goes with it
if (!existsSync(folder)) execFileSync(process.execPath, [builder, folder], { stdio: 'inherit' });
await import(pathToFileURL(join(folder, 'main.js')).href);
