import { parseArgs } from 'node:util';
import { InputError } from '../plan/input_error.ts';
import { unusable } from './exit_codes.ts';
import { openOutput } from './outputs.ts';
import { endProgress } from './progress.ts';

/** What was made to be kept: how a sentence begins that says where it is, the file's text, and what is to be known. */
export interface Kept {
  says: string;
  text: string;
  sentences: readonly string[];
}

/** A command that makes something of a folder and keeps it in a file, as its arguments say. */
export interface KeepCommand {
  usage: string;
  /** what the folder is to hold, after "one folder" */
  holds: string;
  /** Reads what is needed to begin, before the file is opened; answers how to make it. Both throw InputError. */
  prepare: (folder: string) => Promise<(name: string | undefined) => Promise<Kept>>;
}

/**
 * Runs such a command. Answers the exit code: 0, or 3 where it cannot be made of the folder or the file cannot be
 * written.
 */
export async function keepCommand(args: string[], { usage, holds, prepare }: KeepCommand): Promise<number> {
  try {
    const { folder, save, name } = readKeepArguments(args, usage, holds);
    const make = await prepare(folder);
    const output = await openOutput(save);
    try {
      const { says, text, sentences } = await make(name);
      endProgress();
      await output.write(text);
      console.log([`${says} is in ${save}.`, ...sentences, ''].join('\n'));
      return 0;
    } finally {
      await output.leave();
    }
  } catch (error) {
    endProgress();
    if (!(error instanceof InputError)) throw error;
    console.error(error.message);
    return unusable;
  }
}

/** Folder, file to keep, and name from a command's arguments. Throws InputError. */
function readKeepArguments(
  args: string[],
  usage: string,
  holds: string,
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
  if (!folder || more.length > 0) throw new InputError(`Name one folder ${holds}: ${usage}`);
  if (!values.save) throw new InputError(`Say where to keep it, with --save FILE: ${usage}`);
  const name = values.name?.trim();
  if (name !== undefined && (name === '' || name.length > 200 || /[\p{Cc}\u2028\u2029]/u.test(name)))
    throw new InputError('--name takes one line of 1 to 200 characters.');
  return { folder, save: values.save, ...(name !== undefined && { name }) };
}
