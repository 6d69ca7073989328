import { Fold } from '../kit/fold.tsx';
import { changelogWords } from '../words/changelog_words.ts';

/** What changed lately, by New, Better and Fixed, folded below the list of builds. */
export function Changelog() {
  const { title, kinds } = changelogWords;
  return (
    <Fold title={title}>
      {[kinds.new, kinds.better, kinds.fixed].map((kind) => (
        <section key={kind.title}>
          <h2>{kind.title}</h2>
          <ul>
            {kind.lines.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </section>
      ))}
    </Fold>
  );
}
