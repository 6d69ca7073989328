import { InputError } from '../plan/input_error.ts';
import { parseShoot } from '../plan/files/shoot_file.ts';
import { packZip, unpackZip } from './zip.ts';
import { longestEcho, oneOfTwo, shownName } from '../plan/shown_name.ts';

/**
 * One round over the mat as it lies in a folder: plan.json, and shoot.json with the photos and report.json where there
 * are any.
 */
export interface ArchivedRound {
  plan: string;
  shoot?: string;
  report?: string;
  /** each photo's file under the name the shoot gives it */
  photos: Map<string, Uint8Array>;
}

/** A build out of its zip: the round in hand at the top, earlier ones in folders of their own. */
export interface BuildArchive extends ArchivedRound {
  /** every file of the zip, under its path from the folder that holds plan.json */
  files: Map<string, Uint8Array>;
}

const decode = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
export const encodeText = (text: string): Uint8Array => new TextEncoder().encode(text);

/** Files of a build as one zip; `at` is when they are said to have been written. */
export const packBuild = packZip;

/**
 * A build's zip, as `packBuild` writes it or as any folder with plan.json, shoot.json and the photos is zipped; the
 * folder may itself be in the zip. Throws InputError in one sentence when it is damaged, holds no plan, or its shoot
 * names a photo it does not hold.
 */
export function unpackBuild(bytes: Uint8Array, name = 'The zip'): BuildArchive {
  const all = new Map([...unpackZip(bytes, name)].filter(([path]) => isPlain(path)));
  const plan = [...all.keys()]
    .filter((path) => path === 'plan.json' || path.endsWith('/plan.json'))
    .toSorted((a, b) => a.split('/').length - b.split('/').length || a.localeCompare(b))[0];
  if (plan === undefined)
    throw new InputError(
      `${shownName(name)} holds no plan.json, so it is no build: choose a zip saved by Prewrap, or zip the folder with the plan in it.`,
    );
  const root = plan.slice(0, -'plan.json'.length);
  const files = new Map(
    [...all].flatMap(([path, content]) => (path.startsWith(root) ? [[path.slice(root.length), content]] : [])),
  );
  return { ...roundIn(files, '', name), files };
}

/** What a Mac adds, and paths that would lead out of the zip, are left aside. */
const isPlain = (path: string): boolean =>
  !path.startsWith('/') &&
  !path.split('/').some((part) => part === '..' || part === '__MACOSX' || part === '.DS_Store');

/** One round out of an archive's files; `folder` is empty or ends in a slash. Throws InputError. */
export function roundIn(files: ReadonlyMap<string, Uint8Array>, folder: string, name: string): ArchivedRound {
  const text = (file: string) => {
    const content = files.get(folder + file);
    return content && decode(content);
  };
  const plan = text('plan.json');
  if (plan === undefined)
    throw new InputError(
      `${shownName(name, oneOfTwo)} holds no ${shownName(folder, oneOfTwo)}plan.json: save it again.`,
    );
  const of = (said: string) => shownName(said, Math.floor(longestEcho / 3));
  const [shoot, report] = [text('shoot.json'), text('report.json')];
  const photos = new Map<string, Uint8Array>();
  if (shoot !== undefined) {
    for (const photo of parseShoot(shoot, `${folder}shoot.json`).photos) {
      const content = files.get(resolved(folder, photo));
      if (!content)
        throw new InputError(
          `${of(folder)}shoot.json names the photo ${of(photo)}, but ${of(name)} does not hold it: add it to the zip, or take its name out.`,
        );
      photos.set(photo, content);
    }
  }
  return { plan, ...(shoot !== undefined && { shoot }), ...(report !== undefined && { report }), photos };
}

/** A path relative to a folder of the archive, `..` and `.` followed. */
export function resolved(folder: string, path: string): string {
  const parts: string[] = [];
  for (const part of (folder + path).split('/')) {
    if (part === '..') parts.pop();
    else if (part !== '' && part !== '.') parts.push(part);
  }
  return parts.join('/');
}
