/**
 * What came in a message, its arrays made anew. V8 takes arrays out of a message with each number in a piece of memory
 * of its own; where such an array meets those made here, it makes these alike, and all work on vectors, some of which
 * are made by the million, takes twice as long from then on.
 */
export function arraysMadeAnew(value: unknown, met = new Map<object, unknown>()): unknown {
  if (typeof value !== 'object' || value === null || ArrayBuffer.isView(value)) return value;
  const before = met.get(value);
  if (before !== undefined) return before;
  if (Array.isArray(value)) {
    const made = value.every((one) => typeof one === 'number')
      ? numbersMadeAnew(value)
      : value.map((one) => arraysMadeAnew(one, met));
    met.set(value, made);
    return made;
  }
  met.set(value, value);
  const own = value as Record<string, unknown>;
  for (const key of Object.keys(own)) own[key] = arraysMadeAnew(own[key], met);
  return value;
}

/** By themselves: where an array is made V8 expects what it held there before, and here these are numbers alone. */
function numbersMadeAnew(numbers: readonly number[]): number[] {
  const made: number[] = [];
  for (const one of numbers) made.push(one);
  return made;
}
