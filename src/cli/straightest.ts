import { readFile } from 'node:fs/promises';
import { InputError } from '../plan/input_error.ts';
import { parseReport } from '../verdict/report_file.ts';
import { columns } from '../verdict/report_table.ts';
import { straightestAxis } from '../verdict/straightest_axis.ts';
import { straightestRows, straightestSentences } from '../verdict/straightest_text.ts';
import { unusable } from './exit_codes.ts';
import { shownName } from '../plan/shown_name.ts';

const usage = 'npm run --silent straightest -- REPORT REPORT... (those of one blank, turned between the shoots)';

/**
 * Says from the reports of one blank's shoots, a quarter turn between them, how it bows and where to draw the line.
 * Answers the exit code: 0, or 3 where the reports cannot be used.
 */
export async function straightestCommand(args: string[]): Promise<number> {
  try {
    if (args.length < 2) throw new InputError(`Name two to four reports of one blank: ${usage}`);
    const blanks = await Promise.all(args.map(blankOf));
    const axis = straightestAxis(blanks);
    console.log(
      `${straightestSentences(axis, 'mm').join('\n')}\n\n${columns(straightestRows(axis, 'mm')).join('\n')}\n`,
    );
    return 0;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    console.error(error.message);
    return unusable;
  }
}

async function blankOf(file: string) {
  const text = await readFile(file, 'utf8').catch(() => {
    throw new InputError(`${shownName(file)} cannot be read: name a report that verify wrote.`);
  });
  const { blank } = parseReport(text, file);
  if (!blank) throw new InputError(`${shownName(file)} is no report of a bare blank: name those of its blank shoots.`);
  return blank;
}
