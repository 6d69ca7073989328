import { type ComponentType, lazy, Suspense, useEffect } from 'react';
import { useApp } from './session/app_context.tsx';
import { FaultBoundary } from './kit/fault_boundary.tsx';
import { redoName, undoName } from './edits/history.ts';
import { LooksMenu } from './looks_menu.tsx';
import { type Place, type Step, steps } from './route/place.ts';
import { PlaceLink } from './route/place_link.tsx';
import { RodAndSteps } from './rod_and_steps.tsx';
import { SaveNote } from './save_note.tsx';
import type { OpenBuild } from './session/state.ts';
import { stepStates } from './session/step_needs.ts';
import { threadStyle } from './kit/thread_style.ts';
import { appWords } from './words/app_words.ts';
import { buildsWords } from './words/builds_words.ts';
import { frameWords } from './words/frame_words.ts';

/** Each step's screen comes after the first one, so that the app is there at once. */
const fetchScreen: Record<Step, () => Promise<{ default: ComponentType }>> = {
  plan: async () => ({ default: (await import('./plan/plan_screen.tsx')).PlanScreen }),
  mat: async () => ({ default: (await import('./mat/mat_screen.tsx')).MatScreen }),
  photos: async () => ({ default: (await import('./photos/photos_screen.tsx')).PhotosScreen }),
  check: async () => ({ default: (await import('./check/check_screen.tsx')).CheckScreen }),
  record: async () => ({ default: (await import('./record/record_screen.tsx')).RecordScreen }),
};
const screens: Record<Step, ComponentType> = {
  plan: lazy(fetchScreen.plan),
  mat: lazy(fetchScreen.mat),
  photos: lazy(fetchScreen.photos),
  check: lazy(fetchScreen.check),
  record: lazy(fetchScreen.record),
};

type BuildPlace = Extract<Place, { screen: 'build' }>;

/** What stands round every step of a build: its name, the ribbon, the steps, and the way on. */
export function BuildFrame({ place }: { place: BuildPlace }) {
  const { state } = useApp();
  if (state.missing?.id === place.id)
    return (
      <main id="main" className="page" tabIndex={-1}>
        <h1>{state.missing.damaged ? frameWords.damaged : frameWords.missing}</h1>
        <p>
          <PlaceLink place={{ screen: 'builds' }}>{frameWords.back}</PlaceLink>
        </p>
      </main>
    );
  const build = state.build?.kept.id === place.id ? state.build : undefined;
  if (!build) return <p className="page">{appWords.loading}</p>;
  return <OpenFrame key={place.id} build={build} place={place} />;
}

function OpenFrame({ build, place }: { build: OpenBuild; place: BuildPlace }) {
  const { state } = useApp();
  const { history, checks, kept } = build;
  const { plan, thread } = history.present;
  const title = plan.title.trim() || buildsWords.untitled;
  const running = state.run?.kind === 'running' && state.run.buildId === kept.id;
  const needs = stepStates(history.present, checks[0], running);
  const Screen = screens[place.step];
  const following = steps[steps.indexOf(place.step) + 1];
  useWindowTitle(`${title}: ${appWords.steps[place.step]} - ${appWords.name}`);
  useOtherSteps();
  useUndoKeys();
  return (
    <div className="build" style={threadStyle(thread)}>
      <header className="build-top">
        <PlaceLink place={{ screen: 'builds' }} className="button quiet back">
          <span className="back-name">{frameWords.back}</span>
        </PlaceLink>
        <p className="build-title">{title}</p>
        <SaveNote />
        <BuildTools build={build} />
      </header>
      <RodAndSteps place={place} needs={needs} />
      <main id="main" className="page" tabIndex={-1}>
        <h1 className="step-title">{appWords.steps[place.step]}</h1>
        {!(place.step === 'check' && needs.check.state === 'done') && (
          <p className="needs">{needs[place.step].needs}</p>
        )}
        <FaultBoundary key={place.step}>
          <Suspense fallback={<p className="opening">{appWords.loading}</p>}>
            <Screen />
          </Suspense>
        </FaultBoundary>
      </main>
      {following && (
        <nav className="onward" aria-label={frameWords.next(appWords.steps[following])}>
          <PlaceLink place={{ screen: 'build', id: kept.id, step: following }} className="button">
            {frameWords.next(appWords.steps[following])}
          </PlaceLink>
        </nav>
      )}
    </div>
  );
}

/** Undo, redo, and how the app looks. */
function BuildTools({ build: { history } }: { build: OpenBuild }) {
  const { actions } = useApp();
  return (
    <div className="build-tools">
      <HistoryButton
        name={frameWords.undo(undoName(history))}
        sign="↶"
        there={history.past.length > 0}
        onClick={actions.undo}
      />
      <HistoryButton
        name={frameWords.redo(redoName(history))}
        sign="↷"
        there={history.future.length > 0}
        onClick={actions.redo}
      />
      <LooksMenu />
    </div>
  );
}

/** One step back or forward, where there is one. */
function HistoryButton(props: { name: string; sign: string; there: boolean; onClick: () => void }) {
  const { name, sign, there, onClick } = props;
  return (
    <button type="button" className="quiet icon" aria-label={name} title={name} disabled={!there} onClick={onClick}>
      {sign}
    </button>
  );
}

/** Names the browser's window while a build is open. */
function useWindowTitle(title: string): void {
  useEffect(() => {
    document.title = title;
    return () => {
      document.title = appWords.name;
    };
  }, [title]);
}

function useOtherSteps(): void {
  useEffect(() => {
    // the other steps ahead of their turn; one that does not come is asked for again when it is shown
    for (const step of steps) fetchScreen[step]().catch(() => {});
  }, []);
}

/** Ctrl or Command with Z takes back, with Shift brings again; in a field it is the field's own. */
function useUndoKeys(): void {
  const { actions } = useApp();
  useEffect(() => {
    const keys = (event: KeyboardEvent) => {
      const typing = event.target instanceof Element && event.target.closest('input, textarea, select');
      if (typing || !(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 'z') return;
      event.preventDefault();
      if (event.shiftKey) actions.redo();
      else actions.undo();
    };
    window.addEventListener('keydown', keys);
    return () => window.removeEventListener('keydown', keys);
  }, [actions]);
}
