import { formatLength } from '../../plan/lengths/length_text.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { fileStem, saveAs } from '../files/build_transfer.ts';
import { FileButton } from '../kit/file_button.tsx';
import { unitOf } from '../edits/plan_reading.ts';
import { useGuideShapes } from './use_guide_shapes.ts';
import { buildsWords } from '../words/builds_words.ts';
import { planWords } from '../words/plan_words.ts';
import { shapeBeside } from './shape_beside.ts';

/** Guide shapes the builder has measured, kept for every build: thrown away, saved to a file, read from one. */
export function PlanShapes() {
  const { actions } = useApp();
  const { lengths } = useBuild().history.present;
  const [{ own }, look] = useGuideShapes();
  const save = async () => {
    const { guideSetToFile } = await import('../../plan/files/guide_set.ts');
    const set = guideSetToFile({ title: planWords.shapesTitle, unit: unitOf(lengths), guides: own });
    saveAs(
      new Blob([`${JSON.stringify(set, null, 1)}\n`], { type: 'application/json' }),
      `${fileStem(planWords.shapesTitle)}.json`,
    );
  };
  const open = async (files: File[]) => {
    const { parseGuideSet } = await import('../../plan/files/guide_set.ts');
    try {
      for (const file of files) {
        const { guides } = parseGuideSet(await file.text(), file.name);
        // a shape of that name is the builder's own: the one from the file comes in beside it
        for (const guide of guides) await actions.keepGuide(shapeBeside(guide, own));
      }
    } catch (error) {
      if (!(error instanceof Error && error.name === 'InputError')) throw error;
      actions.tell(error.message);
    }
    look();
  };
  return (
    <>
      <p className="hint">{planWords.shapesHelp}</p>
      {own.length === 0 && <p>{planWords.shapesNone}</p>}
      <ul className="rows">
        {own.map(({ name, guide }) => (
          <li key={name} className="row">
            <span>
              <strong>{name}</strong> {planWords.guide(guide, (mm) => formatLength(mm, 'mm'))}
            </span>
            <button
              type="button"
              className="quiet"
              aria-label={planWords.remove(name)}
              onClick={() => void actions.removeGuide(name).then(look)}
            >
              {buildsWords.remove}
            </button>
          </li>
        ))}
      </ul>
      <div className="ways">
        {own.length > 0 && (
          <button type="button" onClick={() => void save()}>
            {planWords.shapesSave}
          </button>
        )}
        <FileButton accept=".json" onFiles={(files) => void open(files)}>
          {planWords.shapesOpen}
        </FileButton>
      </div>
    </>
  );
}
