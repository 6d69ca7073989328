/** What a photo's EXIF block says about how it was taken; every field is absent when not said, or said badly. */
export interface Exif {
  /** 1 to 8: which way the stored picture is turned */
  orientation?: number;
  make?: string;
  model?: string;
  lens?: string;
  /** mm */
  focalLength?: number;
  /** mm, as if on 36 x 24 mm film */
  focalLengthIn35mm?: number;
  /** pixels a millimetre on the sensor, along the stored picture's width */
  focalPlaneResolution?: number;
  digitalZoom?: number;
  /** the picture's own size as its first writer stored it, pixels */
  pixelWidth?: number;
  pixelHeight?: number;
  /** as the camera wrote it: YYYY:MM:DD HH:MM:SS in the camera's own time */
  takenAt?: string;
}

/** The tags read, by number (CIPA DC-008, Exif 3.0). */
const tag = {
  make: 0x010f,
  model: 0x0110,
  orientation: 0x0112,
  exifDirectory: 0x8769,
  dateTimeOriginal: 0x9003,
  focalLength: 0x920a,
  pixelWidth: 0xa002,
  pixelHeight: 0xa003,
  focalPlaneXResolution: 0xa20e,
  focalPlaneResolutionUnit: 0xa210,
  digitalZoom: 0xa404,
  focalLengthIn35mm: 0xa405,
  lens: 0xa434,
} as const;

/** Millimetres in each resolution unit the standard and common writers use; inches when not said. */
const millimetresOfUnit: Readonly<Record<number, number>> = { 2: 25.4, 3: 10, 4: 1, 5: 0.001 };

type Value = number | string;

/** Reads an EXIF block (a TIFF structure, either byte order). Garbage yields fewer fields, never an error. */
export function readExif(tiff: Uint8Array): Exif {
  const view = new DataView(tiff.buffer, tiff.byteOffset, tiff.byteLength);
  if (view.byteLength < 8) return {};
  const order = view.getUint16(0);
  if (order !== 0x4949 && order !== 0x4d4d) return {};
  const little = order === 0x4949;
  const values = new Map<number, Value>();
  readDirectory(view, view.getUint32(4, little), little, values);
  const directory = values.get(tag.exifDirectory);
  if (typeof directory === 'number') readDirectory(view, directory, little, values);
  return exifOf(values);
}

function exifOf(values: ReadonlyMap<number, Value>): Exif {
  const positive = (id: number): number | undefined => {
    const value = values.get(id);
    return typeof value === 'number' && Number.isFinite(value) && value > 0 ? value : undefined;
  };
  const text = (id: number): string | undefined => {
    const value = values.get(id);
    return typeof value === 'string' && value !== '' ? value : undefined;
  };
  const orientation = positive(tag.orientation);
  const resolution = positive(tag.focalPlaneXResolution);
  const unit = millimetresOfUnit[positive(tag.focalPlaneResolutionUnit) ?? 2];
  const takenAt = text(tag.dateTimeOriginal);
  return withoutAbsent({
    orientation: orientation !== undefined && orientation <= 8 ? orientation : undefined,
    make: text(tag.make),
    model: text(tag.model),
    lens: text(tag.lens),
    focalLength: positive(tag.focalLength),
    focalLengthIn35mm: positive(tag.focalLengthIn35mm),
    focalPlaneResolution: resolution !== undefined && unit !== undefined ? resolution / unit : undefined,
    digitalZoom: positive(tag.digitalZoom),
    pixelWidth: positive(tag.pixelWidth),
    pixelHeight: positive(tag.pixelHeight),
    takenAt: takenAt !== undefined && /^\d{4}:\d\d:\d\d \d\d:\d\d:\d\d$/.test(takenAt) ? takenAt : undefined,
  });
}

type PresentOrUndefined<T> = { [K in keyof T]: T[K] | undefined };

function withoutAbsent(fields: PresentOrUndefined<Required<Exif>>): Exif {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));
}

const wantedTags: ReadonlySet<number> = new Set(Object.values(tag));

function readDirectory(view: DataView, at: number, little: boolean, values: Map<number, Value>): void {
  if (at + 2 > view.byteLength) return;
  const count = view.getUint16(at, little);
  for (let i = 0; i < count; i++) {
    const entry = at + 2 + 12 * i;
    if (entry + 12 > view.byteLength) return;
    const id = view.getUint16(entry, little);
    if (!wantedTags.has(id) || values.has(id)) continue;
    const value = readValue(view, entry, little);
    if (value !== undefined) values.set(id, value);
  }
}

/** The first value of a directory entry, as a number or as text, for the types EXIF uses here. */
function readValue(view: DataView, entry: number, little: boolean): Value | undefined {
  const type = view.getUint16(entry + 2, little);
  const count = view.getUint32(entry + 4, little);
  if (count < 1) return undefined;
  const elsewhere = (bytes: number): number | undefined => {
    const at = view.getUint32(entry + 8, little);
    return at + bytes <= view.byteLength ? at : undefined;
  };
  switch (type) {
    case 2:
    case 129: {
      const at = count <= 4 ? entry + 8 : elsewhere(count);
      if (at === undefined) return undefined;
      const bytes = new Uint8Array(view.buffer, view.byteOffset + at, count);
      const end = bytes.indexOf(0);
      return new TextDecoder().decode(end < 0 ? bytes : bytes.subarray(0, end)).trim();
    }
    case 3:
      return view.getUint16(entry + 8, little);
    case 4:
      return view.getUint32(entry + 8, little);
    case 5:
    case 10: {
      const at = elsewhere(8);
      if (at === undefined) return undefined;
      return view.getUint32(at, little) / view.getUint32(at + 4, little);
    }
    default:
      return undefined;
  }
}
