import { useRef } from 'react';
import { shownName } from '../../plan/shown_name.ts';

/** The words of throwing something away. */
export interface ThrowAwayWords {
  remove: string;
  removeAsk: (name: string) => string;
  removeHelp: string;
  removeYes: string;
  removeNo: string;
}

/** A button that throws something away, once it has asked. */
export function ThrowAway({ name, words, onYes }: { name: string; words: ThrowAwayWords; onYes: () => void }) {
  const ask = useRef<HTMLDialogElement>(null);
  return (
    <>
      <button
        type="button"
        className="quiet"
        onClick={() => ask.current?.showModal()}
        aria-label={`${words.remove}: ${shownName(name)}`}
      >
        {words.remove}
      </button>
      <dialog ref={ask} aria-label={words.removeAsk(name)}>
        <p className="lead">{words.removeAsk(name)}</p>
        <p>{words.removeHelp}</p>
        <div className="ways">
          <button type="button" className="primary" onClick={() => ask.current?.close()}>
            {words.removeNo}
          </button>
          <button
            type="button"
            className="danger"
            onClick={() => {
              ask.current?.close();
              onYes();
            }}
          >
            {words.removeYes}
          </button>
        </div>
      </dialog>
    </>
  );
}
