import type { KeptCheck } from '../store/build.ts';
import { words } from './words.ts';

/** What each photo gave, and what was wrong with it. */
export function PhotoNotes({ check }: { check: KeptCheck }) {
  return (
    <details className="photo-notes" open={check.report.photos.some((photo) => photo.problems.length > 0)}>
      <summary>{words.items.photos}</summary>
      <ul>
        {check.report.photos.map(({ file, tags, residual, problems }) => (
          <li key={file}>
            {words.items.photo(file.slice(file.lastIndexOf('/') + 1), tags, residual)}
            {problems.map((problem) => (
              <p key={problem}>{problem}</p>
            ))}
          </li>
        ))}
      </ul>
    </details>
  );
}
