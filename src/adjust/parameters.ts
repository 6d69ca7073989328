/** A growing vector of parameters: each group is added once and remembered by the index of its first element. */
export class ParameterVector {
  private readonly list: number[] = [];
  readonly constant = new Set<number>();

  /** Adds a group and returns the index of its first element. */
  add(values: ArrayLike<number>, fixed = false): number {
    const first = this.list.length;
    for (let i = 0; i < values.length; i++) {
      if (fixed) this.constant.add(first + i);
      this.list.push(values[i]!);
    }
    return first;
  }

  get count(): number {
    return this.list.length;
  }

  values(): Float64Array {
    return Float64Array.from(this.list);
  }
}

export const indices = (first: number, count: number): number[] => Array.from({ length: count }, (_, i) => first + i);
