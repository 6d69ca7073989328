import { openingOf } from '../../plan/plan.ts';
import type { SpoolCase } from '../../plan/layouts/line_cone.ts';
import { useKeptChoice, useKeptValues } from '../fields/plan_fields.tsx';
import { useBuild } from '../session/app_context.tsx';

/** Bores that differ by less are the same, mm. */
const sameBore = 0.3;

export interface GuideOpening {
  id: string;
  at: number;
  height: number;
  ringInner: number;
}

/** The guides the cone may end in, by name, and the one chosen. */
export function useChoke(): { ids: string[]; choke: GuideOpening | undefined; choose: (id: string) => void } {
  const guides = useOpenings();
  const ids = guides.map(({ id }) => id);
  const narrowest = Math.min(...guides.map(({ ringInner }) => ringInner));
  // unless the builder says otherwise: the running guide nearest the reel
  const usual = guides.findLast(({ ringInner }) => ringInner <= narrowest + sameBore)?.id ?? '';
  const [chosen, choose] = useKeptChoice('cone.choke', [usual, ...ids]);
  return { ids, choke: guides.find(({ id }) => id === chosen), choose };
}

function useOpenings(): GuideOpening[] {
  const { positions } = useBuild().history.present.plan;
  return positions.flatMap(({ id, at, guide }) => (guide ? [{ id, at, ...openingOf(guide) }] : []));
}

/** The reel as it is described in the cone's fields, with the guides between its choke and it; undefined till whole. */
export function useSpool():
  | { spool: SpoolCase; choke: GuideOpening; larger: GuideOpening[]; makesCone: boolean }
  | undefined {
  const value = useKeptValues();
  const { choke } = useChoke();
  const guides = useOpenings();
  const [seatAt, lipForward, spoolDiameter, lipToBlank] = (
    ['seatAt', 'lipForward', 'spoolDiameter', 'lipToBlank'] as const
  ).map((key) => value(`cone.${key}`));
  const axisTilt = value('cone.axisTilt');
  if (!choke || seatAt === undefined || lipForward === undefined) return undefined;
  if (spoolDiameter === undefined || lipToBlank === undefined) return undefined;
  const spool = { seatAt, lipForward, spoolDiameter, lipToBlank, choke, ...(axisTilt !== undefined && { axisTilt }) };
  return {
    spool,
    choke,
    larger: guides.filter(({ at }) => at > choke.at && at < seatAt - lipForward),
    makesCone: choke.at < seatAt - lipForward && choke.ringInner < spoolDiameter,
  };
}
