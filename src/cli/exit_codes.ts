/** Input that cannot be used, or an output that cannot be written. */
export const unusable = 3;
