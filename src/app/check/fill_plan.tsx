import { type ReactNode, useId, useState } from 'react';
import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { Fitting } from '../../plan/plan.ts';
import type { KeptCheck } from '../../store/build.ts';
import { doubtDigits, measuredText } from '../../verdict/wording.ts';
import {
  type BlankOffer,
  type BlankPart,
  blankOffers,
  fillBlank,
  pieceLength,
  type Station,
} from '../edits/measured_blank.ts';
import { hashOf } from '../route/place.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { blankWords } from '../words/blank_words.ts';

/** What was measured of the blank beside what the plan says: what the builder ticks is taken over, as one change. */
export function FillPlan({ check }: { check: KeptCheck }) {
  const { actions } = useApp();
  const { kept, history } = useBuild();
  const document = history.present;
  const [ticked, tick] = useState<ReadonlySet<BlankPart>>(new Set());
  const [filled, setFilled] = useState(false);
  const { blank } = check.report;
  if (!blank) return null;
  const { piece } = check.shoot;
  const offers = blankOffers(blank, document, piece);
  const length = piece === undefined ? undefined : pieceLength(blank, document.plan, piece);
  const open = offers.filter((offer) => !isThere(offer));
  const chosen = new Set(open.map(({ part }) => part).filter((part) => ticked.has(part)));
  const fill = () => {
    actions.edit(blankWords.change, (before) => fillBlank(before, blankOffers(blank, before, piece), chosen));
    tick(new Set());
    setFilled(true);
  };
  return (
    <FillSection>
      {length && <p>{pieceLengthText(length, document.lengths)}</p>}
      {open.length > 0 ? <p className="hint">{blankWords.fillHelp}</p> : <p>{blankWords.nothingFits}</p>}
      <ul className="blank-offers">
        {open.map((offer) => (
          <li key={offer.part}>
            <Offer
              offer={offer}
              display={document.lengths}
              ticked={chosen.has(offer.part)}
              onTick={(on) => {
                setFilled(false);
                tick(new Set(on ? [...chosen, offer.part] : [...chosen].filter((part) => part !== offer.part)));
              }}
            />
          </li>
        ))}
      </ul>
      <div className="ways">
        {open.length > 0 && (
          <button type="button" disabled={chosen.size === 0} onClick={fill}>
            {blankWords.use}
          </button>
        )}
        <a className="button" href={hashOf({ screen: 'build', id: kept.id, step: 'plan' })}>
          {blankWords.toPlan}
        </a>
      </div>
      <p role="status">{filled && blankWords.filled}</p>
    </FillSection>
  );
}

function FillSection({ children }: { children: ReactNode }) {
  return (
    <section aria-label={blankWords.fill}>
      <h2>{blankWords.fill}</h2>
      {children}
    </section>
  );
}

function Offer({
  offer,
  display,
  ticked,
  onTick,
}: {
  offer: BlankOffer;
  display: LengthDisplay;
  ticked: boolean;
  onTick: (on: boolean) => void;
}) {
  const { measured, stands } = offerText(offer, display);
  const id = useId();
  return (
    <div className="blank-offer">
      <input
        id={id}
        type="checkbox"
        aria-describedby={`${id}-says`}
        checked={ticked}
        onChange={(event) => onTick(event.target.checked)}
      />
      <div>
        <label htmlFor={id}>{blankWords.parts[offer.part]}</label>
        <p id={`${id}-says`}>
          {blankWords.measured(measured)}
          <br />
          {blankWords.stands(stands)}
        </p>
      </div>
    </div>
  );
}

/** What the plan makes of a piece beside what was measured, and what to do where they differ. */
function pieceLengthText(
  { measured, planned }: NonNullable<ReturnType<typeof pieceLength>>,
  display: LengthDisplay,
): string {
  const unit = display === 'mm' ? 'mm' : 'in';
  const off = Math.abs(measured.value - planned) > measured.expanded;
  return blankWords.pieceLength(formatLength(planned, unit), measuredText(measured, display), off);
}

/** The plan holds what was measured, to the last digit that is taken over. */
function isThere(offer: BlankOffer): boolean {
  switch (offer.part) {
    case 'stations':
      return JSON.stringify(offer.measured) === JSON.stringify(offer.stands);
    case 'ferrule':
    case 'winding-check':
      return offer.measured.from === offer.stands?.from && offer.measured.to === offer.stands.to;
    default:
      return offer.stands !== undefined && Math.abs(offer.stands - offer.measured.value) < 1e-6;
  }
}

function offerText(offer: BlankOffer, display: LengthDisplay): { measured: string; stands: string | undefined } {
  const unit = display === 'mm' ? 'mm' : 'in';
  const diameter = (mm: number) => formatLength(mm, unit, { mmDecimals: 2, inchDecimals: 3 });
  const place = (mm: number) => formatLength(mm, unit, { mmDecimals: 0, inchDecimals: 2 });
  const stations = (all: readonly Station[]) =>
    all.map(({ at, diameter: mm }) => blankWords.station(diameter(mm), place(at))).join(', ');
  if (offer.part === 'stations')
    return {
      measured: blankWords.stationsDoubt(stations(offer.measured), `${doubtDigits(offer.expanded, display)} ${unit}`),
      stands: offer.stands.length > 0 ? stations(offer.stands) : undefined,
    };
  if (offer.part === 'ferrule' || offer.part === 'winding-check') {
    const stretch = ({ from, to }: Fitting) => blankWords.stretch(formatLength(from, unit), formatLength(to, unit));
    return {
      measured: blankWords.stretchDoubt(stretch(offer.measured), `${doubtDigits(offer.expanded, display)} ${unit}`),
      stands: offer.stands && stretch(offer.stands),
    };
  }
  const said = offer.part === 'length' || offer.part === 'grip' ? (mm: number) => formatLength(mm, unit) : diameter;
  return {
    measured: `${said(offer.measured.value)}, give or take ${doubtDigits(offer.measured.expanded, display)}`,
    stands: offer.stands === undefined ? undefined : said(offer.stands),
  };
}
