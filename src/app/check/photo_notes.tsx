import { useState } from 'react';
import type { KeptCheck } from '../../store/build.ts';
import type { ReportPhoto } from '../../verdict/report.ts';
import { PhotoEvidenceView } from './photo_evidence.tsx';
import { itemWords } from '../words/items_words.ts';

/** What each photo gave, and what was wrong with it. */
export function PhotoNotes({ check }: { check: KeptCheck }) {
  return (
    <section aria-label={itemWords.photos}>
      <h2>{itemWords.photos}</h2>
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
        <summary>{itemWords.photo(file.slice(file.lastIndexOf('/') + 1), tags, residual)}</summary>
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
