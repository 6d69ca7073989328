import { basename, join, resolve } from 'node:path';
import { bendWords, benchWords, coneWords, growthWords, threadWords } from './plan_words.ts';
import { InputError } from '../plan/input_error.ts';
import { openOutput, type Output } from './outputs.ts';
import { readPlainText } from './shoot_source.ts';
import { layOut, type LayoutResult } from '../plan/layouts/layout.ts';
import { parseLayout } from '../plan/layouts/layout_file.ts';
import { formatLength, type LengthDisplay, shortened } from '../plan/lengths/length_text.ts';
import { type MarkList, markListCsv, markListText, pieceEndWords } from '../plan/layouts/mark_list.ts';
import { piecesOf, planOfPiece } from '../plan/pieces/pieces.ts';
import type { Plan } from '../plan/plan.ts';
import { planToFile } from '../plan/files/plan_file.ts';
import { displayOf } from '../plan/lengths/tape_reading.ts';
import { shownName } from '../plan/shown_name.ts';

const usage =
  'Use: npm run plan -- SPEC.json [--out plan.json] [--csv marks.csv] [--pieces FOLDER], where SPEC.json is a prewrap.layout/1 file.';

/**
 * `plan SPEC.json [--out plan.json] [--csv marks.csv] [--pieces FOLDER]`: lays guides out, prints the mark list,
 * findings and cautions, and writes the plan and the list where asked; of a rod with joints a list for each piece, and
 * into FOLDER each piece's plan and list (`piece-1.json`, `piece-1.csv` and so on). Returns the exit code: 0; 1 where
 * something must be put right before marking; 3 for input that cannot be used (one line on standard error says which
 * and why).
 */
export async function planCommand(args: string[]): Promise<number> {
  try {
    const { spec, ...wanted } = readArguments(args);
    const result = layOut(parseLayout(await readPlainText(spec), basename(spec)));
    const texts = outputTexts(result, wanted);
    refuseOverwriting(spec, texts);
    const outputs: { file: Output; text: string }[] = [];
    for (const { path, text } of texts) outputs.push({ file: await openOutput(path), text });
    console.log(describe(result));
    for (const { file, text } of outputs) await file.write(text);
    return result.findings.some(({ weight }) => weight === 'fault') ? 1 : 0;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    console.error(error.message);
    return 3;
  }
}

/** Throws InputError where one file is named for two things. */
function refuseOverwriting(spec: string, outputs: readonly { path: string }[]): void {
  const files = [spec, ...outputs.map(({ path }) => path)];
  const named = files.map((file) => resolve(file));
  const twice = files.find((_, k) => named.indexOf(named[k]!) < k);
  if (twice !== undefined)
    throw new InputError(
      `${shownName(twice)} is named twice, and writing it would lose what it holds; name another file. ${usage}`,
    );
}

interface Wanted {
  out?: string;
  csv?: string;
  pieces?: string;
}

/** What is to be written where. Throws InputError where pieces are asked for and the rod has none. */
function outputTexts({ plan, list, pieces }: LayoutResult, wanted: Wanted): { path: string; text: string }[] {
  const planText = (one: Plan) => `${JSON.stringify(planToFile(one), null, 1)}\n`;
  const { out, csv, pieces: folder } = wanted;
  if (folder && !pieces)
    throw new InputError('--pieces: the layout has no "joints", so the rod is one piece; add them, or use --out.');
  return [
    ...(out ? [{ path: out, text: planText(plan) }] : []),
    ...(csv ? [{ path: csv, text: pieces ? pieces.map(titledCsv).join('\r\n') : markListCsv(list) }] : []),
    ...(folder && pieces
      ? pieces.flatMap((own, k) => [
          { path: join(folder, `piece-${k + 1}.json`), text: planText(planOfPiece(plan, k + 1)) },
          { path: join(folder, `piece-${k + 1}.csv`), text: markListCsv(own) },
        ])
      : []),
  ];
}

/** One piece's list below its name, for a file that holds several. */
const titledCsv = (list: MarkList): string => `"${list.title.replaceAll('"', '""')}"\r\n${markListCsv(list)}`;

const options = { '--out': 'out', '--csv': 'csv', '--pieces': 'pieces' } as const;

function readArguments(args: readonly string[]): Wanted & { spec: string } {
  const files: Wanted & { spec?: string } = {};
  for (let i = 0; i < args.length; i++) {
    const argument = args[i]!;
    if (Object.hasOwn(options, argument)) {
      const file = args[++i];
      if (file === undefined || file.startsWith('--'))
        throw new InputError(`${argument} needs a ${argument === '--pieces' ? 'folder' : 'file'} name. ${usage}`);
      files[options[argument as keyof typeof options]] = file;
    } else if (argument.startsWith('--')) {
      throw new InputError(`"${shownName(argument)}" is not an option. ${usage}`);
    } else if (files.spec === undefined) {
      files.spec = argument;
    } else {
      throw new InputError(`One layout file at a time: "${shownName(argument)}" is a second one. ${usage}`);
    }
  }
  if (files.spec === undefined) throw new InputError(`No layout file was named. ${usage}`);
  return { ...files, spec: files.spec };
}

function describe(result: LayoutResult): string {
  const { list, plan } = result;
  const display = displayOf(list.division);
  const length = (mm: number) => formatLength(mm, display, { denominator: 32 });
  const paragraphs = [
    list.title,
    ...(result.lines ? [pasted(result)] : []),
    ...(result.growth ? [`First gap ${length(result.growth.firstGap)}, ${growthWords(result, length)}.`] : []),
    ...(result.pieces
      ? result.pieces.flatMap((own, k) => pieceParagraphs(own, plan, k, length))
      : [markListText(list), threadWords(list)]),
    ...(result.bend ? [bendWords(result, length)] : []),
    ...(result.cone ? [coneWords(result, length)] : []),
    benchWords(result, length),
    ...(result.notes.length > 0 ? [result.notes.join('\n')] : []),
    result.findings.length === 0
      ? 'Nothing found against this plan.'
      : result.findings.map((f) => `${f.weight === 'fault' ? 'Put right' : 'Look at'}: ${f.text} ${f.cure}`).join('\n'),
    `Tolerance ${length(plan.tolerance.along)} along, ${plan.tolerance.roll} degrees of roll.`,
    `Take care:\n${result.cautions.map((caution) => `- ${caution}`).join('\n')}`,
  ];
  return paragraphs.join('\n\n');
}

type Words = (mm: number) => string;

/** One piece: what it is, how long it should measure, its own list. */
function pieceParagraphs(list: MarkList, plan: Plan, index: number, length: Words): string[] {
  const { from, to, tipSide, buttSide } = piecesOf(plan)[index]!;
  const ends = `from the ${pieceEndWords[tipSide]} to the ${pieceEndWords[buttSide]}`;
  return [
    `${list.title}: ${length(to - from)} long ${ends}.`,
    ...(list.rows.length > 0 ? [markListText(list), threadWords(list)] : ['Nothing is planned on this piece.']),
  ];
}

const countedWords = {
  'from-butt': 'written from the butt as',
  'from-ferrule': 'written from the ferrule as',
  gap: 'after a gap of',
} as const;

function pasted({ lines = [], list }: LayoutResult): string {
  const display: LengthDisplay = displayOf(list.division);
  return lines
    .flatMap((line) => {
      if (line.outcome === 'empty') return [];
      if (line.outcome !== 'position') return [`line ${line.line}: heading "${shortened(line.text.trim())}"`];
      const label = line.label === undefined ? '' : `${line.label} at `;
      const said = (mm: number) => formatLength(mm, display, { denominator: 64 });
      const note = line.note === undefined ? '' : ` (left aside: ${shortened(line.note)})`;
      const counted = line.counted ? `, ${countedWords[line.counted.as]} ${said(line.counted.written)}` : '';
      return [`line ${line.line}: ${label}${said(line.mm)} from the tip${counted}${note}`];
    })
    .join('\n');
}
