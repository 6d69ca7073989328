import type { Plan, Position } from '../../src/plan/plan.ts';
import type { Rest, Shoot } from '../../src/plan/shoot.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { spanUncertainty } from '../../src/mat/readings.ts';
import { tagsPerRow, tagsPerTile } from '../../src/mat/tile.ts';
import type { Vector3 } from '../../src/geometry/vector.ts';
import { jpegLoss } from './jpeg_loss.ts';
import { seededNormal, seededUniform } from './seeded_random.ts';
import { bendingLens, wavingPaper } from './shop.ts';
import { layTiles, observeTags, trueReadings, walk, type World } from './world.ts';
import { type RasterOptions, renderPhoto } from './world_raster.ts';
import { makeRod, type RodGuide, type RodOptions } from './world_rod.ts';

/** How a drawn build was photographed. */
export type ShootKind = 'one photo' | 'two photos' | 'walk';

/** A build drawn at random, down to its pixels: rod with guides, plan, mat, lens, light, photos. */
export interface DrawnBuild {
  seed: number;
  kind: ShootKind;
  /** heights of the paper's waves, mm; the lens's field, pixels */
  waves: number;
  field: number;
  /** blur and noise as standard deviations, pixels and levels; JPEG quality */
  picture: { blur: number; noise: number; quality: number };
  /** how much too long the tape's word on the mat makes every length, as a share */
  tape: number;
  plan: Plan;
  shoot: Shoot;
  guides: (RodGuide & { id: string })[];
  rodOptions: RodOptions;
  lamp: Vector3;
  /** guides that the plan gives another size than they have */
  wrongSizes: string[];
  world: World;
  /** the photos as a phone saves them, each drawn when it is asked for */
  photo: (index: number) => Photo;
}

/**
 * Photos wide and low, as wide as those of 12 megapixels at the same distance between pixels on the bench (5 to 6 a
 * mm), and no higher than the mat is.
 */
const picture = { width: 3000, height: 1300 } as const;

const sizes = [7, 8, 10, 12, 16, 20, 25] as const;

/** A build from a seed. Every third is one photo, two photos, a walk. */
export function drawBuild(seed: number): DrawnBuild {
  const uniform = seededUniform(seed * 31 + 4);
  const normal = seededNormal(seed * 37 + 6);
  const between = (low: number, high: number) => low + (high - low) * uniform();
  const kind = (['walk', 'one photo', 'two photos'] as const)[seed % 3]!;
  const length = { 'one photo': between(330, 400), 'two photos': between(480, 620), walk: between(650, 900) }[kind];
  const tiles = Math.ceil((length + 90) / 297);
  const along = 1 + 0.008 * normal();
  const mat = layTiles({ tiles, seed: seed + 100, printScale: { along, across: along + 0.001 * normal() } });
  // A third of the shops is good: flat paper, a lens of Brown's.
  const good = uniform() < 1 / 3;
  const waves = good ? between(0, 0.2) : between(0.2, 1.2);
  const field = good ? between(0, 0.1) : between(0.1, 0.8);
  const paper = wavingPaper(seed + 11, waves, 0.8 * waves);
  const deep = seededUniform(seed * 41 + 8);
  const depth = () => 0.5 + 0.65 * deep();
  const { guides, rod, rest } = rodOf({ length, paper, mat, depth, between, normal, uniform });
  const bend = bendingLens(seed + 12, field, picture.width, picture.height);
  const photos = { 'one photo': 1, 'two photos': 2, walk: Math.max(4, tiles + 1) }[kind];
  const world: World = {
    ...mat,
    paper,
    cameras: walk({
      photos,
      from: kind === 'two photos' ? 140 : 110,
      to: length - (kind === 'two photos' ? 140 : 110),
      distance: between(380, 440),
      ...picture,
      seed: seed + 13,
    }).map((shot) => ({ ...shot, bend })),
  };
  const exact = longestSpan(world);
  const tape = (spanUncertainty(exact) * normal()) / exact.length;
  const { positions, wrongSizes } = planned(guides, { between, normal, uniform });
  const plan: Plan = {
    title: 'Drawn rod',
    unit: 'mm',
    blank: { length, tipDiameter: 2 * rod.tipRadius, buttDiameter: 2 * rod.buttRadius, finish: 'dark' },
    positions,
    tolerance: { along: 1.5, roll: 3 },
  };
  const shoot: Shoot = {
    stage: 'rings',
    photos: world.cameras.map((_, i) => `${i + 1}.jpg`),
    mat: { span: { ...exact, length: exact.length * (1 + tape) } },
    rest,
    rollReference: 'guides',
  };
  const { blur, noise, quality } = { blur: between(0.5, 1.1), noise: between(1, 3), quality: between(72, 92) };
  const lamp: Vector3 = [between(-0.4, 0.4), between(-0.7, 0.7), 1];
  const raster: RasterOptions = {
    rod: makeRod(rod),
    blur,
    noise,
    checkBars: false,
    lamp,
  };
  return {
    seed,
    kind,
    waves,
    field,
    picture: { blur, noise, quality },
    tape,
    plan,
    shoot,
    guides,
    rodOptions: rod,
    lamp,
    wrongSizes,
    world,
    photo: (i) => ({
      ...jpegLoss(renderPhoto(world, world.cameras[i]!, { ...raster, seed: 1000 * seed + i }), quality),
      file: shoot.photos[i]!,
    }),
  };
}

/** The longest stretch between two squares of the row that a tape can be laid over and photos place, read exactly. */
function longestSpan(world: World) {
  const shown = new Set(world.cameras.flatMap((shot) => observeTags(world, shot).map(({ id }) => id)));
  // A page that shows by one square alone is not placed.
  const onPage = (id: number) =>
    [...shown].filter((other) => Math.floor(other / tagsPerTile) === Math.floor(id / tagsPerTile)).length;
  const upper = [...shown].filter((id) => id % tagsPerTile < tagsPerRow && onPage(id) > 3).toSorted((a, b) => a - b);
  return trueReadings(world, { fromTag: upper[0]!, toTag: upper.at(-1)! }).span!;
}

interface Dice {
  between: (low: number, high: number) => number;
  normal: () => number;
  uniform: () => number;
}

/** A blank with guides on it, bigger toward the butt, lying on blocks or with its tip and grip on the mat. */
function rodOf({
  length,
  paper,
  mat,
  depth,
  between,
  normal,
  uniform,
}: Dice & { depth: () => number; length: number; paper: NonNullable<World['paper']>; mat: Pick<World, 'tiles'> }) {
  const count = Math.max(3, Math.round(length / 130));
  const largest = 3 + Math.floor(4 * uniform());
  const step = (length - 170) / (count - 1);
  const guides = Array.from({ length: count }, (_, i): RodGuide & { id: string } => {
    const size = Math.round((largest * i) / (count - 1));
    const outer = sizes[size]! + between(-0.3, 0.3);
    return {
      id: `G${i + 1}`,
      at: 60 + step * i + between(-8, 8),
      roll: 1.8 * normal() * (uniform() < 0.15 ? 3 : 1),
      height: 0.55 * outer + between(2, 4.5),
      outer,
      inner: (0.68 + 0.07 * uniform()) * outer,
      // From hoops as thin as their wall to deep ceramic rings (from memory, no source).
      thickness: depth() * (1.6 + 0.08 * outer),
      lean: between(0, 8),
    };
  });
  const tipRadius = between(0.8, 1.3);
  const buttRadius = tipRadius + between(2, 3.5);
  const onBlocks = uniform() < 0.6;
  const blocks = between(24, 34);
  const first = mat.tiles[0]!;
  const gripRadius = between(11, 13);
  const rod: RodOptions = {
    length,
    tipRadius,
    buttRadius,
    ...(onBlocks
      ? { tipHeight: blocks, buttHeight: blocks }
      : {
          tipHeight: tipRadius + paper(first.tile, -first.x, 0),
          buttHeight: gripRadius,
          grip: { from: length - 60, radius: gripRadius },
        }),
    side: between(-4, 4),
    skew: 0.004 * normal(),
    bow: 0.8 * normal(),
    sag: onBlocks ? between(0, 1) : 0,
    colour: (
      [
        [0.03, 0.03, 0.033],
        [0.06, 0.035, 0.02],
        [0.03, 0.045, 0.03],
      ] as const
    )[Math.floor(3 * uniform())]!,
    gloss: { strength: between(0.05, 0.5), exponent: between(20, 120) },
    guides,
  };
  const rest: Rest = onBlocks
    ? { kind: 'blocks', axisHeight: Math.round(blocks) }
    : { kind: 'flat', gripDiameter: Math.round(2 * gripRadius) };
  return { guides, rod, rest };
}

/** The guides as the plan has them: each meant to sit some mm elsewhere, in a third of plans one of another size. */
function planned(guides: readonly (RodGuide & { id: string })[], { between, normal, uniform }: Dice) {
  const wrong = uniform() < 1 / 3 ? Math.floor(guides.length * uniform()) : -1;
  const positions = guides.map(({ id, at, outer, inner, height, lean }, i): Position => {
    const factor = i === wrong ? (uniform() < 0.5 ? between(0.8, 0.92) : between(1.08, 1.2)) : 1;
    const tenth = (value: number) => Math.round(10 * value) / 10;
    return {
      id,
      kind: 'guide',
      at: at + 1.2 * normal(),
      guide: {
        ringOuter: tenth(factor * outer),
        ringInner: tenth(factor * inner),
        height: tenth(factor * height + 0.2 * normal()),
        lean,
        foot: 'single',
      },
    };
  });
  return { positions, wrongSizes: wrong >= 0 ? [guides[wrong]!.id] : [] };
}
