/** Arrays of a few lengths, each made once and handed out zeroed: thousands of blocks share a handful of sizes. */
export function makeZeroed(): (length: number) => Float64Array {
  const made = new Map<number, Float64Array>();
  return (length) => {
    const known = made.get(length);
    if (known) return known.fill(0);
    const array = new Float64Array(length);
    made.set(length, array);
    return array;
  };
}
