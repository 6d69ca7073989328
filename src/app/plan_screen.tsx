/** The plan step. */
export function PlanScreen() {
  return null;
}
