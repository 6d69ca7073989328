import { againTold } from '../world/solved_again.ts';
import { printTable } from './coverage_table.ts';

/**
 * One shoot solved `count` times as if photographed anew, blank and rings included: what its solutions scatter by along
 * their main axes over what one of them foretells, and how far the main axes lie apart.
 */
export function againCommand(count: number): void {
  const { noise, rings } = againTold(count);
  console.log(`${count} solutions; corners' noise as told over what was drawn: ${noise.toFixed(3)}`);
  printTable([
    ['ring', 'largest', 'middle', 'least', 'axes apart', 'along', 'across', 'over'],
    ...rings.map(({ at, ratios, apart, spread }) => [
      `at ${at} mm`,
      ...ratios.map((ratio) => ratio.toFixed(2)),
      `${apart.toFixed(0)} deg`,
      ...spread.map(({ found, told }) => `${found.toFixed(3)}/${told.toFixed(3)}`),
    ]),
  ]);
}
