/** What a builder is about to do that can hurt or spoil. */
export type Occasion = 'load-rod' | 'carbon-blank' | 'solvent' | 'blade' | 'epoxy';

/** One plain sentence for each occasion. */
export const cautions: Readonly<Record<Occasion, string>> = {
  'load-rod':
    'A rod under load may break without warning: stand clear of its plane, protect your eyes, load it slowly.',
  'carbon-blank': 'Carbon conducts: keep the blank away from power lines, sockets and lightning.',
  solvent: 'Keep solvent away from flame and sparks, and air the room.',
  blade: 'Cut away from the hand that holds the blank, and cover the blade when it is put down.',
  epoxy: 'Uncured epoxy harms skin and lungs: wear gloves, air the room, and do not sand it without a mask.',
};

/** Said after any caution. */
export const labelsPrevail = 'Product labels and local rules prevail over what is said here.';

/** Sentences for what is at hand, each once, the closing one last; empty for none. */
export function cautionsFor(occasions: readonly Occasion[]): string[] {
  const unique = [...new Set(occasions)];
  return unique.length === 0 ? [] : [...unique.map((occasion) => cautions[occasion]), labelsPrevail];
}
