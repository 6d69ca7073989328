import { useState } from 'react';
import type { KeptCheck } from '../../store/build.ts';
import type { ReportPhoto } from '../../verdict/report.ts';
import { PhotoEvidenceView } from './photo_evidence.tsx';
import { words } from '../words/words.ts';

/** What each photo gave, and what was wrong with it. */
export function PhotoNotes({ check }: { check: KeptCheck }) {
  return (
    <section aria-label={words.items.photos}>
      <h2>{words.items.photos}</h2>
      <ul className="items">
        {check.report.photos.map((photo) => (
          <PhotoNote key={photo.file} check={check} photo={photo} />
        ))}
      </ul>
    </section>
  );
}

function PhotoNote({ check, photo }: { check: KeptCheck; photo: ReportPhoto }) {
  const [open, setOpen] = useState(false);
  const { file, tags, residual, problems } = photo;
  return (
    <li className="item-row">
      <details onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>{words.items.photo(file.slice(file.lastIndexOf('/') + 1), tags, residual)}</summary>
        {open && <PhotoEvidenceView check={check} file={file} />}
      </details>
      {problems.map((problem) => (
        <p key={problem} className="cause">
          {problem}
        </p>
      ))}
    </li>
  );
}
