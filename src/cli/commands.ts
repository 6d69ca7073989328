import { unusable } from './exit_codes.ts';
import { lensCommand } from './lens.ts';
import { matCommand } from './mat.ts';
import { planCommand } from './plan.ts';
import { straightestCommand } from './straightest.ts';
import { verifyCommand } from './verify.ts';

const commands = new Map<string, (args: string[]) => Promise<number>>([
  ['verify', verifyCommand],
  ['plan', planCommand],
  ['straightest', straightestCommand],
  ['lens', lensCommand],
  ['mat', matCommand],
]);

/** Runs the command that the first word names with the words that follow; gives the exit code. */
export async function runCommand([name = '', ...args]: readonly string[]): Promise<number> {
  const command = commands.get(name);
  if (command) return command(args);
  console.error(
    'Say what to do: verify FOLDER, plan SPEC.json, straightest REPORT REPORT..., lens FOLDER --save FILE, or mat FOLDER --save FILE',
  );
  return unusable;
}
