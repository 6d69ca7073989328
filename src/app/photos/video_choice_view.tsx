import { tileNumber } from '../../mat/tile.ts';
import { nextPhoto } from '../coverage/next_photo.ts';
import { tilesOf } from '../coverage/photo_coverage.ts';
import { CoverageDrawing } from '../coverage/photo_coverage_view.tsx';
import { goodViews, usePhotos } from '../coverage/photo_entries.ts';
import { nextPhotoWords, tiltWords } from '../coverage/photo_next_words.ts';
import type { PhotoView } from '../coverage/photo_view.ts';
import { fewPixelsWords } from '../coverage/pixel_doubt_words.ts';
import { baseName } from '../files/open_files.ts';
import { BlobImage } from '../kit/blob_image.tsx';
import { photoWords } from '../words/photo_words.ts';
import type { SeenFrame, SeenVideos } from './look_through_videos.ts';
import type { FrameRow } from './use_video_frames.ts';
import { frameNear, frameTime } from './video_choice.ts';

/** The frames that were chosen, what they cover with the photos, and what is still wanted; each can be changed. */
export function VideoChoice({
  seen: { frames, names, side },
  rows,
  onRows,
}: {
  seen: SeenVideos;
  rows: readonly FrameRow[];
  onRows: (rows: FrameRow[]) => void;
}) {
  const { photos, paper, tiles, wanted } = usePhotos();
  const used = rows.filter(({ out }) => !out);
  const views = [...goodViews(photos), ...used.map(({ frame }) => frames[frame]!.view)];
  const doubt = fewPixelsWords(side, photos);
  const taken = new Set(rows.map(({ frame }) => frame));
  const replace = (at: number, row: FrameRow) => onRows(rows.map((own, i) => (i === at ? row : own)));
  return (
    <>
      <p role="status">
        {photoWords.video.chosen(used.length)} {nextPhotoWords(nextPhoto(views, tiles, wanted))}
      </p>
      {doubt !== undefined && <p className="hint">{doubt}</p>}
      <CoverageDrawing views={views} mat={{ paper, tiles }} />
      <ul className="photo-rows" aria-label={photoWords.video.list}>
        {rows.map((row, at) => (
          <FrameView
            key={`${at}`}
            row={row}
            frame={frames[row.frame]!}
            {...(names.length > 1 && { of: baseName(names[frames[row.frame]!.video]!) })}
            near={(way) => frameNear(frames, row.frame, way, taken)}
            onRow={(changed) => replace(at, changed)}
          />
        ))}
      </ul>
    </>
  );
}

/** One frame: its picture, where in the video it is and what it shows, and the ways to change it. */
function FrameView({
  row,
  frame,
  of,
  near,
  onRow,
}: {
  row: FrameRow;
  frame: SeenFrame;
  /** the video's name, where there are several */
  of?: string;
  near: (way: 'earlier' | 'later') => number | undefined;
  onRow: (row: FrameRow) => void;
}) {
  const { video } = photoWords;
  const time = of === undefined ? frameTime(frame.at) : `${frameTime(frame.at)}, ${of}`;
  const to = (way: 'earlier' | 'later') => {
    const other = near(way);
    return (
      <button
        type="button"
        aria-label={video.named(video[way], time)}
        disabled={row.out || other === undefined}
        onClick={() => other !== undefined && onRow({ frame: other, out: false })}
      >
        {video[way]}
      </button>
    );
  };
  return (
    <li className={row.out ? 'photo-row frame-out' : 'photo-row'}>
      <div className="photo-picture">
        <BlobImage blob={frame.thumbnail} alt={video.frame(time)} />
      </div>
      <div className="photo-says">
        <p className="photo-name">{video.frame(time)}</p>
        <p>{row.out ? video.wasOut : shown(frame.view)}</p>
        <div className="frame-ways">
          {to('earlier')}
          {to('later')}
          <button
            type="button"
            className="quiet"
            aria-label={video.named(row.out ? video.back : video.out, time)}
            onClick={() => onRow({ ...row, out: !row.out })}
          >
            {row.out ? video.back : video.out}
          </button>
        </div>
      </div>
    </li>
  );
}

/** "tiles 2 to 4, tilted 17°" */
function shown({ columns, tilt }: PhotoView): string {
  const tiles = columns && tilesOf(columns);
  return [
    tiles && photoWords.covers(tileNumber(tiles.from), tileNumber(tiles.to)),
    tilt !== undefined && tiltWords(tilt),
  ]
    .filter(Boolean)
    .join(', ');
}
