import type { BuildSummary } from '../../store/build.ts';
import { useApp } from '../session/app_context.tsx';
import { PlaceLink } from '../route/place_link.tsx';
import { ThrowAway } from '../kit/throw_away.tsx';
import { threadStyle } from '../kit/thread_style.ts';
import { buildsWords } from '../words/builds_words.ts';

const day = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' });

/** One build in the list, with its verdict and the way to throw it away; with a box where several are being chosen. */
export function BuildCard({
  build,
  chosen,
  onChoose,
}: {
  build: BuildSummary;
  chosen?: boolean;
  onChoose?: () => void;
}) {
  const { actions } = useApp();
  const title = build.damaged ? buildsWords.damagedTitle : build.title.trim() || buildsWords.untitled;
  return (
    <li className="card" style={build.damaged ? undefined : threadStyle(build.thread)}>
      {onChoose && (
        <label className="card-choice">
          <input type="checkbox" checked={chosen === true} onChange={onChoose} />
          <span className="spoken">{buildsWords.chooseOne(title)}</span>
        </label>
      )}
      {build.damaged ? <DamagedBuild id={build.id} /> : <BuildLink build={build} title={title} />}
      <ThrowAway name={title} words={buildsWords} onYes={() => void actions.remove(build.id)} />
    </li>
  );
}

function BuildLink({ build, title }: { build: BuildSummary; title: string }) {
  return (
    <PlaceLink place={{ screen: 'build', id: build.id, step: build.verdict ? 'check' : 'plan' }} className="card-link">
      <span className="card-title">{title}</span>
      {build.sample && <span className="tag">{buildsWords.sampleTag}</span>}
      <span className="card-verdict">{build.verdict ? buildsWords.verdict[build.verdict] : buildsWords.unchecked}</span>
      <span className="card-when">{buildsWords.changed(day.format(new Date(build.changedAt)))}</span>
    </PlaceLink>
  );
}

function DamagedBuild({ id }: { id: string }) {
  const { actions } = useApp();
  return (
    <div className="card-link">
      <span className="card-title">{buildsWords.damagedTitle}</span>
      <span className="card-verdict">{buildsWords.damaged}</span>
      <button type="button" onClick={() => void actions.salvage(id)}>
        {buildsWords.salvage}
      </button>
    </div>
  );
}
