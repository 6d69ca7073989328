import { collectEarly } from './collect_early.ts';
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

collectEarly();
const [name = '', ...args] = process.argv.slice(2);
const command = commands.get(name);
if (!command) {
  console.error(
    'Say what to do: verify FOLDER, plan SPEC.json, straightest REPORT REPORT..., lens FOLDER --save FILE, or mat FOLDER --save FILE',
  );
  process.exitCode = unusable;
} else {
  process.exitCode = await command(args);
}
