import { planCommand } from './plan.ts';
import { straightestCommand } from './straightest.ts';
import { unusable, verifyCommand } from './verify.ts';

const commands = new Map<string, (args: string[]) => Promise<number>>([
  ['verify', verifyCommand],
  ['plan', planCommand],
  ['straightest', straightestCommand],
]);

const [name = '', ...args] = process.argv.slice(2);
const command = commands.get(name);
if (!command) {
  console.error('Say what to do: verify FOLDER, plan SPEC.json, or straightest REPORT REPORT...');
  process.exitCode = unusable;
} else {
  process.exitCode = await command(args);
}
