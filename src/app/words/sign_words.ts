/** Kinds of places. */
export const kindWords = {
  guide: 'guide',
  'tip-wrap': 'tip wrap',
  'ferrule-wrap': 'ferrule wrap',
  'hook-keeper': 'hook keeper',
};

/** What each sign means. */
export const signWords = {
  'in-place': 'in place',
  unsure: 'not settled',
  different: 'another guide sits here',
  missing: 'missing',
  'not-made-out': 'not made out',
  'not-seen': 'in no photo',
  'wrong-way': 'the wrong way round',
  extra: 'not in the plan',
  'with-piece': 'turned with its whole piece',
  slide: (length: string, towardButt: boolean) => `slide ${length} toward the ${towardButt ? 'butt' : 'tip'}`,
  turn: (degrees: string, clockwise: boolean) =>
    `turn ${degrees} ${clockwise ? 'clockwise' : 'counter-clockwise'}, seen from the butt`,
};
