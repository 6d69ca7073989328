import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import { useApp, useBuild } from './session/app_context.tsx';
import { threads } from './files/new_build.ts';
import { changeWords } from './words/changes_words.ts';
import { frameWords } from './words/frame_words.ts';

/** Thread colour and the unit lengths are shown in. */
export function LooksMenu() {
  const { actions } = useApp();
  const { thread, lengths } = useBuild().history.present;
  const setThread = (colour: string) =>
    actions.edit(changeWords.thread, (document) => ({ ...document, thread: colour }), 'thread');
  return (
    <details className="menu">
      <summary className="button quiet">{frameWords.looks}</summary>
      <div className="menu-body">
        <fieldset>
          <legend>{frameWords.thread}</legend>
          <div className="swatches">
            {threads.map((colour) => (
              <button
                key={colour}
                type="button"
                className="swatch"
                style={{ background: colour }}
                aria-label={frameWords.threadNames[colour]}
                aria-pressed={colour === thread}
                onClick={() => setThread(colour)}
              />
            ))}
            <label className="swatch-own">
              {frameWords.threadOwn}
              <input type="color" value={thread} onChange={(event) => setThread(event.target.value)} />
            </label>
          </div>
        </fieldset>
        <label>
          {frameWords.lengths}
          <select
            value={lengths}
            onChange={(event) =>
              actions.edit(changeWords.lengths, (document) => ({
                ...document,
                lengths: event.target.value as LengthDisplay,
              }))
            }
          >
            {(['mm', 'in', 'in-fraction'] as const).map((name) => (
              <option key={name} value={name}>
                {frameWords.lengthNames[name]}
              </option>
            ))}
          </select>
        </label>
      </div>
    </details>
  );
}
