import { RibbonStrip } from '../ribbon/ribbon_strip.tsx';
import { useBuild } from '../session/app_context.tsx';
import { measuredSoFar } from '../session/step_needs.ts';
import { photoWords } from '../words/photo_words.ts';

/** The rod as the photos show it so far, and what is made out on it by now; nothing before its tip shows. */
export function CameraSoFar() {
  const soFar = measuredSoFar(useBuild());
  if (!soFar) return null;
  const names = soFar.report.items.filter(({ found }) => found).map(({ id }) => id);
  return (
    <div className="camera-so-far">
      <RibbonStrip step="photos" />
      {names.length > 0 && <p className="hint">{photoWords.camera.soFar(names)}</p>}
    </div>
  );
}
