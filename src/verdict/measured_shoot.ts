import type { Estimate } from '../numerics/estimate.ts';
import type { SeenPlace } from '../adjust/propagation.ts';
import type { Vector3 } from '../geometry/vector.ts';
import type { ReportHalves, ReportPhoto, ReportProfile, Sighting, UncertaintyParts } from './report.ts';

/** One mark or one ring as found in the photos, before it is given to a planned position. */
export interface MeasuredPlace {
  /** a guide's ring or mark when absent; a snake guide's arch has neither ring nor bore */
  type?: 'ring' | 'snake';
  /**
   * it may be something else than it was taken for: photos do not agree on the type, one photo alone speaks of a snake
   * guide, or no rim holds to the sightings of a ring
   */
  typeDoubted?: boolean;
  /**
   * mm along the axis from the tip-side end of the blank on the mat (of the section, where the plan is for one); `u`
   * counts everything, the scale included
   */
  along: Estimate;
  /** standard uncertainty of `along` without the scale's share, which all places of a rod have in common, mm */
  apart?: number;
  /**
   * degrees, positive clockwise as seen from the butt; relative to the seat card or the spine line when that is the
   * reference (a stated angle from the spine line is taken off by the verdict), relative to the bench when the rings'
   * own common line is (the verdict takes the median off)
   */
  roll?: Estimate;
  /** from the blank's surface to the ring's centre, mm */
  height?: Estimate;
  /** diameters of the ring's outer rim and bore, mm */
  ringOuter?: Estimate;
  ringInner?: Estimate;
  /** which way a single foot points from the ring, where the photos agree on it */
  footToward?: 'tip' | 'butt';
  /** of a snake guide from foot end to foot end, mm */
  length?: Estimate;
  /** of a mark along the blank, mm */
  width?: Estimate;
  /** of a mark, as named to a person */
  colour?: string;
  /** in a rings shoot: the mark seen beside this ring, mm, as `along` */
  mark?: Estimate;
  /** the planned item this was pointed out for by hand, or true when it was set by hand without one */
  byHand?: boolean | string;
  parts?: UncertaintyParts;
  reading?: PlaceReading;
}

/** How the photos show a place and how well it is read there: what the help of a further photo is told from. */
export interface PlaceReading {
  seen: SeenPlace;
  /** standard uncertainty along of the reading alone, mm */
  own: number;
  /**
   * of a ring: its cross-section's right (bench), how well it is read that way, what cameras and mat add to that, and
   * its centre's distance from the axis, mm
   */
  ring?: { right: Vector3; own: number; byCameras: number; lever: number };
}

/**
 * A verdict that doubt keeps open: of which place, on what, and under what its standard uncertainty must come; mm or
 * degrees.
 */
export interface OpenVerdict {
  /** index among the places */
  place: number;
  on: 'along' | 'roll';
  u: number;
  needed: number;
}

/** The single further photo that shrinks the doubt most that keeps verdicts open. */
export interface FurtherPhotoWanted {
  /** what it is taken over */
  over: { place: number } | 'tip' | 'seat-card';
  /** straight above, from the rod's side at a slant, or from nearer to the tip or the butt, looking back at it */
  from: 'above' | 'side' | 'tip' | 'butt';
  /** of the camera over the paper, mm */
  height: number;
  /** where on the mat it is aimed at: page, and nominal mm from its middle along the row of squares */
  aim: { tile: number; u: number };
  /**
   * how far the camera stands from straight above: along the row of squares, and to either side of the rod, nominal mm
   */
  stand: { along: number; across: number };
  /** the standard uncertainties expected with it, of the open verdicts in the order they were asked in */
  expected: number[];
}

/** Everything the photos gave, ready to be held against the plan. */
export interface MeasuredShoot {
  places: MeasuredPlace[];
  photos: ReportPhoto[];
  scale: MeasuredScale;
  /** how far the farthest of the mat's squares stood off their common plane, mm */
  flatWithin?: number;
  /** what was kept from photos taken before, of this camera */
  profiles?: ReportProfile[];
  /** how the two halves of a walk agree */
  halves?: ReportHalves;
  /** standard uncertainty of the tip end itself, mm: shared by every distance */
  tip?: number;
  /** how the photos show each planned place, by its id; a place without an entry is in no photo */
  shown: Readonly<Record<string, PlaceShown>>;
  /** added to `along` to count as the plan does, mm, where it was measured: the datum may be on the tip-top */
  start?: number;
  tipTop?: MeasuredTipTop;
  /** standard uncertainty of what rolls are counted from, degrees, that each place's roll carries; 0 when absent */
  rollZero?: number;
  /**
   * where the rod slid lengthwise after a photo (its file's name), mm toward the butt; taken into account in `places`
   */
  slides?: readonly { afterPhoto: string; along: Estimate }[];
  /** asks which further photo helps the open verdicts most; undefined where none helps */
  furtherPhoto?: (open: readonly OpenVerdict[]) => FurtherPhotoWanted | undefined;
  /** sentences about the whole from earlier stages */
  notes: string[];
}

/** How the photos show a planned place: names of their files. */
export interface PlaceShown {
  /** those that show it at all */
  photos: readonly string[];
  /** of these, those that clearly show bare blank, over all that a guide or mark there would take up */
  bare: readonly string[];
  /** of these, those in which something else, a hand or a tool, lies over it */
  covered: readonly string[];
}

/** The tip-top as the photos show it; its roll counted as a place's. */
export interface MeasuredTipTop {
  sighting: Sighting;
  roll?: Estimate;
}

export interface MeasuredScale {
  /** printed size over true size, along and across the pages */
  along: number;
  across: number;
  /** standard uncertainty of `along`, relative */
  u: number;
  /** false when neither print nor span were measured: then nothing is passed */
  measured: boolean;
  /**
   * relative standard uncertainty of reading the span, present where the tape that laid off the marks measured it: that
   * tape's own scale is then the marks' too and cancels
   */
  tape?: number;
}
