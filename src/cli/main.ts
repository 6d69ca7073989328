import { setUpEngine } from './engine_settings.ts';
import { runCommand } from './commands.ts';

setUpEngine();
process.exitCode = await runCommand(process.argv.slice(2));
