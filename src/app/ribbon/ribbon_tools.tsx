import { ribbonWords } from '../words/ribbon_words.ts';

/** The ribbon's buttons, for those who neither pinch nor use keys. */
export function RibbonTools({
  onZoom,
  onWhole,
  whole,
  note,
}: {
  onZoom: (factor: number) => void;
  onWhole: () => void;
  whole: boolean;
  note: string;
}) {
  return (
    <div className="ribbon-tools">
      <p className="hint">{note}</p>
      <button type="button" className="quiet icon" aria-label={ribbonWords.closer} onClick={() => onZoom(1.8)}>
        +
      </button>
      <button
        type="button"
        className="quiet icon"
        aria-label={ribbonWords.farther}
        disabled={whole}
        onClick={() => onZoom(1 / 1.8)}
      >
        −
      </button>
      <button type="button" className="quiet" disabled={whole} onClick={onWhole}>
        {ribbonWords.whole}
      </button>
    </div>
  );
}
