import {
  type EdgeBlur,
  type LumaImage,
  pixelsPerMillimetre,
  type SeenTag,
  strongEdgeBlur,
  tagEdgeBlur,
} from './edge_blur.ts';
import { orderStatistic } from '../numerics/robust.ts';

/** How well an image can be measured, told from its luma and, where they were read, its tags. */
export interface PhotoQuality {
  /**
   * the blur of its edges as the standard deviation of a Gaussian, pixels, in the worse direction; absent without edges
   */
  blur?: number;
  /** by the tags' size */
  pixelsPerMm?: number;
  /** luma of the paper, 0..255, beside the tags; without tags, of the brightest twentieth */
  paper: number;
  /** share of all pixels that are blown out */
  blownOut: number;
  problems: QualityProblem[];
}

export interface QualityProblem {
  kind: 'blurred' | 'moved' | 'dark' | 'bright' | 'flat' | 'glare' | 'few-pixels' | 'too-far' | 'too-close';
  /** one sentence: what is wrong and what to do */
  message: string;
  /** too bad to measure from; otherwise it only measures worse than it could */
  unusable: boolean;
}

/**
 * Limits, common practice on phone photos without a source: a sharp 12-megapixel phone photo has edges of 0.6 to 1.3
 * pixels; what is above 2 is no longer limited by its pixels but by focus or movement.
 */
const limits = {
  blur: { photo: 2, frame: 1.4 },
  unusableBlur: 5,
  /** mm on the paper: a cell of a tag is 3 mm */
  unusableBlurMm: 0.9,
  /** of the blur in one direction to the other */
  moved: 1.7,
  darkPaper: 90,
  unusableDarkPaper: 45,
  brightPaper: 252,
  contrast: 45,
  blownOut: 0.03,
  megapixels: 3,
  pixelsPerMm: 1,
  /** mm of paper along the photo's longer side: a page and a bit */
  view: 330,
} as const;

/** Luma from here up is blown out. */
const blownOutLevel = 253;

/**
 * Judges a photo, or a small frame of a camera's stream, before it is measured.
 *
 * @param tags those read in it, none where none could be; undefined when they were not looked for. Without tags, edges
 *   anywhere are taken, and what only tags can tell is left out
 * @param kind a frame is allowed to be small
 */
export function photoQuality(
  image: LumaImage,
  tags: readonly SeenTag[] | undefined,
  kind: 'photo' | 'frame' = 'photo',
): PhotoQuality {
  const byTags = tags !== undefined && tags.length > 0;
  const edges = byTags ? tagEdgeBlur(image, tags) : strongEdgeBlur(image);
  // A tag's edges are all straight steps; of edges anywhere many are soft by nature, so the sharp ones tell.
  const share = byTags ? 0.5 : 0.25;
  const blur = blurByDirection(edges, share);
  const tones = tonesOf(image);
  const paper =
    (byTags
      ? orderStatistic(
          edges.map((edge) => edge.light),
          0.5,
        )
      : undefined) ?? tones.bright;
  const ink = byTags
    ? orderStatistic(
        edges.map((edge) => edge.dark),
        0.5,
      )
    : undefined;
  const pixelsPerMm = pixelsPerMillimetre(tags ?? []);
  const problems = [
    blur && blurProblem(blur, limits.blur[kind], unreadable(blur, tags, pixelsPerMm)),
    toneProblem(paper, ink, tones.blownOut),
    kind === 'photo' ? sizeProblem(image, pixelsPerMm) : undefined,
    pixelsPerMm !== undefined ? viewProblem(image, pixelsPerMm) : undefined,
  ].filter((problem) => problem !== undefined);
  return {
    ...(blur && { blur: blur.worse }),
    ...(pixelsPerMm !== undefined && { pixelsPerMm }),
    paper,
    blownOut: tones.blownOut,
    problems,
  };
}

interface DirectionalBlur {
  worse: number;
  better: number;
}

function blurByDirection(edges: readonly EdgeBlur[], share: number): DirectionalBlur | undefined {
  const of = (upright: boolean) =>
    orderStatistic(
      edges.filter((edge) => edge.upright === upright).map((edge) => edge.sigma),
      share,
    );
  const [across, along] = [of(true), of(false)];
  if (across === undefined && along === undefined) return undefined;
  const [a, b] = [across ?? along!, along ?? across!];
  return { worse: Math.max(a, b), better: Math.min(a, b) };
}

/** Blur beyond reading: in pixels, in the tags' own measure, or proved by no tag having been read. */
function unreadable(
  { worse }: DirectionalBlur,
  tags: readonly SeenTag[] | undefined,
  pixelsPerMm: number | undefined,
): boolean {
  if (worse > limits.unusableBlur || tags?.length === 0) return true;
  return pixelsPerMm !== undefined && worse > limits.unusableBlurMm * pixelsPerMm;
}

function blurProblem({ worse, better }: DirectionalBlur, limit: number, unusable: boolean): QualityProblem | undefined {
  if (worse <= limit) return undefined;
  const extent = unusable ? 'Too blurred to read' : 'Blurred';
  return worse > limits.moved * better
    ? {
        kind: 'moved',
        unusable,
        message: `${extent}: the camera moved; hold the phone still, or give it more light.`,
      }
    : {
        kind: 'blurred',
        unusable,
        message: `${extent}: tap on the rod to focus, wipe the lens, and hold the phone still.`,
      };
}

function toneProblem(paper: number, ink: number | undefined, blownOut: number): QualityProblem | undefined {
  if (paper < limits.darkPaper) {
    const unusable = paper < limits.unusableDarkPaper;
    return { kind: 'dark', unusable, message: 'Too dark: turn on a lamp or move the mat to a window.' };
  }
  if (ink !== undefined && paper - ink < limits.contrast) {
    return {
      kind: 'flat',
      unusable: false,
      message: 'The tags stand out too little from the paper: shade the mat from light that shines into the lens.',
    };
  }
  if (paper >= limits.brightPaper) {
    return {
      kind: 'bright',
      unusable: false,
      message: 'Too bright: tap on the paper so that the camera darkens the photo.',
    };
  }
  if (blownOut > limits.blownOut) {
    return {
      kind: 'glare',
      unusable: false,
      message: `Glare over ${Math.round(100 * blownOut)} % of the photo: move the lamp aside, or step round so that it does not mirror.`,
    };
  }
  return undefined;
}

function sizeProblem(image: LumaImage, pixelsPerMm: number | undefined): QualityProblem | undefined {
  const megapixels = (image.width * image.height) / 1e6;
  if (megapixels < limits.megapixels) {
    return {
      kind: 'few-pixels',
      unusable: false,
      message: `Only ${megapixels.toFixed(1)} megapixels: choose the actual size when the phone asks, or take it with the camera app.`,
    };
  }
  if (pixelsPerMm !== undefined && pixelsPerMm < limits.pixelsPerMm) {
    return { kind: 'too-far', unusable: false, message: 'Too far away: come closer, to about 60 cm over the mat.' };
  }
  return undefined;
}

function viewProblem(image: LumaImage, pixelsPerMm: number): QualityProblem | undefined {
  if (Math.max(image.width, image.height) >= limits.view * pixelsPerMm) return undefined;
  return {
    kind: 'too-close',
    unusable: false,
    message: 'Too close: step back until two pages of the mat are in view.',
  };
}

/** Luma of the brightest twentieth's lower end, and the share that is blown out, from every 7th pixel. */
function tonesOf(image: LumaImage): { bright: number; blownOut: number } {
  const counts = new Uint32Array(256);
  let total = 0;
  // Coprime to usual widths, so that the sample does not fall into columns.
  for (let i = 0; i < image.luma.length; i += 7, total++) counts[image.luma[i]!]!++;
  let above = 0;
  let bright = 255;
  for (; bright > 0; bright--) {
    above += counts[bright]!;
    if (above >= total / 20) break;
  }
  let blown = 0;
  for (let level = blownOutLevel; level < 256; level++) blown += counts[level]!;
  return { bright, blownOut: total > 0 ? blown / total : 0 };
}
