import { collectEarly } from './collect_early.ts';
import { runCommand } from './commands.ts';

collectEarly();
process.exitCode = await runCommand(process.argv.slice(2));
