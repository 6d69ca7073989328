import { shortened } from '../lengths/length_text.ts';
import { shownName } from '../shown_name.ts';

/** A file's name before a place in it, which leaves room for the place's own name and for what stands there. */
export const inFile = (file: string): string => shownName(file, 24);

/** The name a place in a file bears, beside the file's own and what stands there. */
export const placeName = (name: string): string => shortened(name, 16);
