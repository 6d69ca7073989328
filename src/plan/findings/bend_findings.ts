import { oneOfTwo, shownName } from '../shown_name.ts';
import type { BendCase } from '../bend/bent_rod.ts';
import type { Bend } from '../bend/elastica.ts';
import { type Finding, lengthWords } from './finding.ts';
import type { LengthDisplay } from '../lengths/length_text.ts';
import { linePieces } from '../bend/line_run.ts';

/** How far the line may stray from the blank before it is said; common practice, no source. */
export const usualStray = 20;
/** A line this deep in the blank only lies on it, as it does on a tip without a ring, mm. */
const leastTouch = 0.05;

/**
 * What the line does wrong on a bent rod: touches the blank between guides (on top), strays far from it (underneath),
 * or turns the wrong way at a guide. `ids` name the guides from tip to butt.
 */
export function bendFindings(
  bend: BendCase,
  bent: Bend,
  ids: readonly string[],
  display: LengthDisplay,
  strayLimit = usualStray,
): Finding[] {
  const names = ['the tip-top', ...ids.map((id) => shownName(id, oneOfTwo)), 'the reel'];
  const words = (mm: number) => lengthWords(mm, display);
  const findings: Finding[] = [];
  for (const piece of linePieces(bend, bent)) {
    const between = `${names[piece.from]} and ${names[piece.to]}`;
    const items = [piece.from, piece.to].flatMap((k) => ids[k - 1] ?? []);
    if (piece.clearance < -leastTouch) {
      findings.push({
        rule: 'line-touches',
        weight: 'fault',
        items,
        by: -piece.clearance,
        text: `Between ${between} the line would run into the blank by ${words(-piece.clearance)}, ${words(piece.clearanceAt)} from the tip.`,
        cure: 'Bring the two closer, add a guide between them, or take higher rings.',
      });
    }
    if (piece.stray > strayLimit) {
      findings.push({
        rule: 'line-strays',
        weight: 'look',
        items,
        by: piece.stray,
        text: `Between ${between} the line would stray ${words(piece.stray)} from the bend of the blank, ${words(piece.strayAt)} from the tip.`,
        cure: 'Bring the two closer or add a guide between them.',
      });
    }
  }
  for (const [k, id] of ids.entries()) {
    const turn = bent.turns[k + 1]!;
    if (turn >= 0) continue;
    findings.push({
      rule: 'line-turns-back',
      weight: 'look',
      items: [id],
      by: -turn,
      text: `At ${shownName(id)} the line would turn ${(-turn).toFixed(1)} degrees against the bend, so it would lift off the ring.`,
      cure: `Take a ring of another height for ${shownName(id)}, or move it away from its neighbour.`,
    });
  }
  return findings;
}
