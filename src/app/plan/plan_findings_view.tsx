import { ringOf } from '../../plan/plan.ts';
import type { Finding } from '../../plan/findings/finding.ts';
import type { BagEntry } from '../../plan/findings/bag_findings.ts';
import { planFindings } from '../../plan/findings/plan_findings.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { useBuild } from '../session/app_context.tsx';
import { Fold } from '../kit/fold.tsx';
import { unreadFields } from '../edits/plan_edits.ts';
import { NumberField, useKeptValues } from '../fields/plan_fields.tsx';
import { hashOf } from '../route/place.ts';
import { SignIcon } from '../kit/sign_shape.tsx';
import { useWrapPractice } from './plan_wraps.tsx';
import { planWords } from '../words/plan_words.ts';

/** What can be said against the plan before anything is photographed, and the count of the bag. */
export function PlanFindings() {
  const document = useBuild().history.present;
  const { plan, lengths } = document;
  const unread = unreadFields(document).length;
  const [bag, wraps] = [useBag(), useWrapPractice()];
  const ready = plan.blank.length > 0 && plan.positions.length > 0;
  const findings = ready ? planFindings(plan, { wraps, display: lengths, ...(bag && { bag }) }) : [];
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
      {plan.positions.some((position) => position.guide) && (
        <Fold title={planWords.bag}>
          <Bag />
        </Fold>
      )}
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

/** Ring sizes of the plan, each once, from small to large, with how many are planned. */
function useSizes(): { size: number; planned: number }[] {
  const { positions } = useBuild().history.present.plan;
  const sizes = new Map<number, number>();
  for (const ring of positions.map(({ guide }) => ringOf(guide)))
    if (ring) sizes.set(ring.ringOuter, (sizes.get(ring.ringOuter) ?? 0) + 1);
  return [...sizes].map(([size, planned]) => ({ size, planned })).toSorted((a, b) => a.size - b.size);
}

const bagField = (size: number) => `bag.${size.toFixed(2)}`;

/** The bag as counted, once every size has its count. */
function useBag(): BagEntry[] | undefined {
  const sizes = useSizes();
  const value = useKeptValues();
  const counted = sizes.flatMap(({ size }) => {
    const count = value(bagField(size));
    return count === undefined ? [] : [{ ringOuter: size, count }];
  });
  return sizes.length > 0 && counted.length === sizes.length ? counted : undefined;
}

function Bag() {
  const { lengths } = useBuild().history.present;
  return (
    <>
      <p className="hint">{planWords.bagHelp}</p>
      {useSizes().map(({ size, planned }) => (
        <NumberField
          key={size}
          name={bagField(size)}
          label={planWords.bagSize(formatLength(size, lengths, { denominator: 32 }), planned)}
          least={0}
          most={1000}
          optional
          whole
        />
      ))}
    </>
  );
}
