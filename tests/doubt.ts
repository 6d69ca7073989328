import { numbersCommand } from './doubt/numbers.ts';
import { againCommand } from './doubt/again.ts';
import { picturesCommand, picturesOfSeeds } from './doubt/pictures.ts';

/**
 * Whether the doubt that is stated is the doubt there is, on shoots drawn from fixed seeds: `npm run doubt` draws
 * corners and rims as numbers, `npm run doubt -- again` solves one shoot again and again, `npm run doubt -- pictures`
 * draws photos and checks them whole.
 */
const [what = '500', ...rest] = process.argv.slice(2);
if (what === 'pictures') await picturesCommand(rest);
else if (what === 'pictures-of-seeds') await picturesOfSeeds();
else if (what === 'again') againCommand(Number(rest[0] ?? 400));
else numbersCommand(Number(what));
