/** The record step. */
export function RecordScreen() {
  return null;
}
