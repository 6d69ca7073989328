import type { BuildDocument, ShootInHand } from '../../store/build.ts';
import { useApp } from '../session/app_context.tsx';

/** Changes the shoot's readings; typing in one field is one step of undo. */
export function useShootEdit(): (name: string, change: (shoot: ShootInHand) => ShootInHand, run?: string) => void {
  const { actions } = useApp();
  return (name, change, run) =>
    actions.edit(name, (document: BuildDocument) => ({ ...document, shoot: change(document.shoot) }), run);
}

/** An object with a key set, or without it when the value is undefined: files and comparisons know no undefined. */
export function withKey<T extends object, K extends keyof T>(object: T, key: K, value: T[K] | undefined): T {
  const { [key]: _, ...rest } = object;
  return (value === undefined ? rest : { ...rest, [key]: value }) as T;
}
