import { targets, tryCase } from './hostile_cases.ts';

/** `npm run fuzz [-- SEED [CASES]]`: spoilt files from a printed seed on, until stopped or as many as asked. */
const first = Number(process.argv[2] ?? Math.floor(Math.random() * 2 ** 31));
const cases = Number(process.argv[3] ?? Number.POSITIVE_INFINITY);
console.log(`From seed ${first} on; end with Ctrl-C. A fault names its own seed.`);
const all = await targets();
for (let k = 0; k < cases; k++) {
  tryCase(all, first + k);
  if (k % 10_000 === 9_999) console.log(`${k + 1} cases`);
}
