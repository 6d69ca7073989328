import { nominalSpan, tilesForBlank } from '../../mat/readings.ts';
import { type PaperName, tagPlace } from '../../mat/tile.ts';
import type { BuildDocument } from '../../store/build.ts';
import { planInHand } from '../../store/plan_in_hand.ts';

/** The mat a build lies on: what the builder said, else what the readings and the blank tell. */
export function printedMat(document: BuildDocument): { paper: PaperName; tiles: number } {
  const { printed, shoot } = document;
  const { length } = planInHand(document).blank;
  const { span } = shoot.mat;
  const paper = printed?.paper ?? (span && paperBySpan(span)) ?? usualPaper();
  const reached = span ? Math.max(...[span.fromTag, span.toTag].map((tag) => (tagPlace(tag)?.tile ?? 0) + 1)) : 1;
  return { paper, tiles: printed?.tiles ?? Math.max(tilesForBlank(length, paper), reached) };
}

/**
 * The paper whose tiles, laid edge to edge, come nearer to the span; undefined within one tile, where both are alike.
 */
function paperBySpan(span: { fromTag: number; toTag: number; length: number }): PaperName | undefined {
  const [a4, letter] = [nominalSpan(span, 'A4'), nominalSpan(span, 'Letter')];
  if (a4 === undefined || letter === undefined || a4 === letter) return undefined;
  return Math.abs(span.length - a4) <= Math.abs(span.length - letter) ? 'A4' : 'Letter';
}

/** Letter is the office paper of North America and some of its neighbours; elsewhere it is A4 (ISO 216). */
const usualPaper = (): PaperName => (/-(US|CA|MX|PH|CL|CO|VE|GT|CR|PR)\b/.test(navigator.language) ? 'Letter' : 'A4');
