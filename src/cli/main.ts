import { planCommand } from './plan.ts';
import { verifyCommand } from './verify.ts';

const commands: Record<string, (args: string[]) => Promise<number>> = { verify: verifyCommand, plan: planCommand };

const [name = '', ...args] = process.argv.slice(2);
const command = commands[name];
if (!command) {
  console.error('Say what to do: verify FOLDER, or plan SPEC.json.');
  process.exitCode = 3;
} else {
  process.exitCode = await command(args);
}
