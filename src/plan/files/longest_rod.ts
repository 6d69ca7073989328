/** The longest rod taken, mm: anything above it is a slip in the unit. */
export const longestRod = 10_000;
