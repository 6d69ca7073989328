import type { Finding } from '../../plan/findings/finding.ts';
import { coneFindings } from '../../plan/layouts/cone_findings.ts';
import { planFindings } from '../../plan/findings/plan_findings.ts';
import { useBuild } from '../session/app_context.tsx';
import { unreadFields } from '../edits/plan_edits.ts';
import { hashOf } from '../route/place.ts';
import { SignIcon } from '../kit/sign_shape.tsx';
import { useBag } from './plan_bag.tsx';
import { useSpool } from './plan_spool.ts';
import { useWrapPractice } from './plan_wraps.tsx';
import { planWords } from '../words/plan_words.ts';

/** What can be said against the plan before anything is photographed. */
export function PlanFindings() {
  const document = useBuild().history.present;
  const { plan, lengths } = document;
  const unread = unreadFields(document).length;
  const [bag, wraps] = [useBag(), useWrapPractice()];
  const ready = plan.blank.length > 0 && plan.positions.length > 0;
  const spool = useSpool();
  const findings = ready
    ? [
        ...planFindings(plan, { wraps, display: lengths, ...(bag && { bag }) }),
        ...(spool?.makesCone ? coneFindings(spool.spool, spool.larger, lengths) : []),
      ]
    : [];
  return (
    <section aria-label={planWords.findings}>
      <h2>{planWords.findings}</h2>
      {!ready && <p className="hint">{planWords.findingsWait}</p>}
      {unread > 0 && (
        <p className="finding">
          <SignIcon sign={{ kind: 'extra' }} />
          <span>{planWords.findingsUnread}</span>
        </p>
      )}
      {ready && unread === 0 && findings.length === 0 && (
        <p className="finding">
          <SignIcon sign={{ kind: 'in-place' }} />
          <span>{planWords.findingsNone}</span>
        </p>
      )}
      <FindingList findings={findings} />
    </section>
  );
}

export function FindingList({ findings }: { findings: readonly Finding[] }) {
  const { kept } = useBuild();
  return (
    <ul className="findings">
      {findings.map((finding) => {
        const body = (
          <>
            <SignIcon sign={{ kind: finding.weight === 'fault' ? 'extra' : 'unsure' }} />
            <span>
              <strong>{finding.weight === 'fault' ? planWords.fault : planWords.look}:</strong> {finding.text}
              <span className="cause">{finding.cure}</span>
            </span>
          </>
        );
        const item = finding.items.at(-1);
        return (
          <li key={`${finding.rule} ${finding.text}`}>
            {item === undefined ? (
              <p className="finding">{body}</p>
            ) : (
              <a className="finding" href={hashOf({ screen: 'build', id: kept.id, step: 'plan', item })}>
                {body}
              </a>
            )}
          </li>
        );
      })}
    </ul>
  );
}
