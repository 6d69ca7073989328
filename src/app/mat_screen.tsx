/** The mat step. */
export function MatScreen() {
  return null;
}
