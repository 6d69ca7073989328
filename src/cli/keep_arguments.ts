import { parseArgs } from 'node:util';
import { InputError } from '../plan/input_error.ts';

/** Folder, file to keep, and name from a command's arguments. Throws InputError. */
export function readKeepArguments(
  args: string[],
  usage: string,
  what: string,
): { folder: string; save: string; name?: string } {
  let parsed: { values: { save?: string; name?: string }; positionals: string[] };
  try {
    parsed = parseArgs({
      args,
      allowPositionals: true,
      options: { save: { type: 'string' }, name: { type: 'string' } },
    });
  } catch {
    throw new InputError(`The options are --save FILE and --name NAME: ${usage}`);
  }
  const { positionals, values } = parsed;
  const [folder, ...more] = positionals;
  if (!folder || more.length > 0) throw new InputError(`Name one folder ${what}: ${usage}`);
  if (!values.save) throw new InputError(`Say where to keep it, with --save FILE: ${usage}`);
  const name = values.name?.trim();
  if (name !== undefined && (name === '' || name.length > 200 || /[\p{Cc}\u2028\u2029]/u.test(name)))
    throw new InputError('--name takes one line of 1 to 200 characters.');
  return { folder, save: values.save, ...(name !== undefined && { name }) };
}
