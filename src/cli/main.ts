import { planCommand } from './plan.ts';
import { unusable, verifyCommand } from './verify.ts';

const commands = new Map<string, (args: string[]) => Promise<number>>([
  ['verify', verifyCommand],
  ['plan', planCommand],
]);

const [name = '', ...args] = process.argv.slice(2);
const command = commands.get(name);
if (!command) {
  console.error('Say what to do: verify FOLDER, or plan SPEC.json.');
  process.exitCode = unusable;
} else {
  process.exitCode = await command(args);
}
