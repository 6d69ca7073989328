import { describe, expect, it } from 'vitest';
import { bendFindings } from '../../src/plan/findings/bend_findings.ts';
import type { BendCase } from '../../src/plan/bend/bent_rod.ts';
import { type Bend, solveBend } from '../../src/plan/bend/elastica.ts';
import { lineHeight, linePieces } from '../../src/plan/bend/line_run.ts';
import { bendWithGuides } from './bent_rod_cases.ts';

/** A blank bent to a circle of radius 500 over one radian, guides of one height at both ends. */
function arc(height: number): { bend: BendCase; bent: Bend } {
  const [radius, length] = [500, 500];
  const points = Array.from({ length: 201 }, (_, i) => {
    const s = (length * i) / 200;
    const angle = (length - s) / radius;
    return { s, x: radius * Math.sin(angle), y: radius * (Math.cos(angle) - 1), theta: -angle };
  });
  const linePoint = ({ x, y, theta }: (typeof points)[number]) => ({
    x: x - height * Math.sin(theta),
    y: y + height * Math.cos(theta),
  });
  return {
    bend: {
      stiffness: {
        stations: [
          { at: 0, diameter: 4 },
          { at: length, diameter: 4 },
        ],
        law: { kind: 'section', modulus: 60 },
      },
      clampAt: length,
      load: { tension: 1, pullAngle: 90 },
      line: { tipOffset: height, guides: [], reel: { at: length, offset: height } },
    },
    bent: {
      points,
      linePoints: [linePoint(points[0]!), linePoint(points.at(-1)!)],
      turns: [0],
      forces: [],
      clampMoment: 0,
    },
  };
}

describe('line against the blank', () => {
  it('keeps over a circular bend what the chord leaves: (R + h) cos(half angle) - R, less the blank', () => {
    const { bend, bent } = arc(80);
    const [piece] = linePieces(bend, bent);
    expect(piece!.clearance).toBeCloseTo(580 * Math.cos(0.5) - 500 - 2, 3);
    expect(piece!.clearanceAt).toBeCloseTo(250, 6);
    expect(piece!.stray).toBeCloseTo(0, 6);
  });

  it('says by how much and where the line would run into the blank', () => {
    const { bend, bent } = arc(20);
    const [finding] = bendFindings(bend, bent, [], 'mm');
    expect(finding).toMatchObject({ rule: 'line-touches', weight: 'fault' });
    expect(finding!.by).toBeCloseTo(500 + 2 - 520 * Math.cos(0.5), 3);
    expect(finding!.text).toContain('250.0 mm from the tip');
  });

  it('strays on the inside of a circular bend by R - (R - h) cos(half angle) - h', () => {
    const { bend, bent } = arc(-10);
    const [piece] = linePieces(bend, bent);
    expect(piece!.stray).toBeCloseTo(500 - 490 * Math.cos(0.5) - 10, 3);
    expect(piece!.clearance).toBeCloseTo(8, 6);
    expect(bendFindings(bend, bent, [], 'mm').map((finding) => finding.rule)).toEqual(['line-strays']);
    expect(bendFindings(bend, bent, [], 'mm', 60)).toEqual([]);
  });

  it('finds low guides on top of a hard bend, between the guides it names, and none on a light one', () => {
    const low = {
      tipOffset: 2,
      guides: [100, 500, 900].map((at) => ({ at, offset: 6 })),
      reel: { at: 1250, offset: 30 },
    };
    const hard = bendWithGuides({ line: low });
    const rules = bendFindings(hard, solveBend(hard), ['G1', 'G2', 'G3'], 'mm').filter(
      (f) => f.rule === 'line-touches',
    );
    expect(rules.map((f) => f.items)).toContainEqual(['G1', 'G2']);
    const light = bendWithGuides({ load: { tension: 0.05, pullAngle: 60 } });
    const ids = ['1', '2', '3', '4', '5', '6', '7'];
    expect(bendFindings(light, solveBend(light), ids, 'mm').filter((f) => f.rule !== 'line-turns-back')).toEqual([]);
  });

  it('lets the line lie in the bore toward the blank on top and away from it underneath', () => {
    expect(lineHeight({ height: 10, ringInner: 6 }, 'top')).toBe(7);
    expect(lineHeight({ height: 10, ringInner: 6 }, 'underneath')).toBe(13);
  });
});
