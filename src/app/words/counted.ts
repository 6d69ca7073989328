/** `many` with its # as a word up to nine. */
export function counted(count: number, one: string, many: string, capital = false): string {
  if (count === 1) return one;
  const word = numbers[count] ?? String(count);
  return many.replace('#', capital ? word[0]!.toUpperCase() + word.slice(1) : word);
}
const numbers = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'];
