import { useState } from 'react';
import type { MarkList } from '../../plan/layouts/mark_list.ts';
import { markSteps } from '../../plan/bench/mark_steps.ts';
import { withWritten } from '../edits/plan_edits.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { benchWords } from '../words/bench_words.ts';
import { changeWords } from '../words/changes_words.ts';
import { MarkOffDialog } from './mark_off_dialog.tsx';

const keptAs = 'marks.done';

/** The way into marking off, with how far it has come; what is marked is kept with the build. */
export function MarkOff({ lists }: { lists: readonly MarkList[] }) {
  const { actions } = useApp();
  const kept = useBuild().history.present.written?.[keptAs]?.text;
  const [open, setOpen] = useState(false);
  const steps = markSteps(lists);
  const marked = new Set(kept === undefined ? [] : kept.split('\n'));
  const done = steps.filter(({ key }) => marked.has(key)).length;
  const keep = (keys: ReadonlySet<string>, name: string) =>
    actions.edit(name, (document) =>
      withWritten(document, keptAs, keys.size === 0 ? undefined : { text: [...keys].join('\n') }),
    );
  return (
    <>
      <button type="button" className="primary" onClick={() => setOpen(true)}>
        {done === 0 ? benchWords.start : done < steps.length ? benchWords.goOn(done, steps.length) : benchWords.again}
      </button>
      {open && (
        <MarkOffDialog
          steps={steps}
          done={marked}
          onMark={(key, id) => keep(new Set([...marked, key]), changeWords.marked(id))}
          onUnmark={(key, id) => keep(new Set([...marked].filter((one) => one !== key)), changeWords.unmarked(id))}
          onAnew={() => keep(new Set(), changeWords.marksAnew)}
          onClose={() => setOpen(false)}
        />
      )}
    </>
  );
}
