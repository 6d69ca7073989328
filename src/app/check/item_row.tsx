import { useEffect, useRef } from 'react';
import type { KeptCheck } from '../../store/build.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { capitalized } from '../../verdict/wording.ts';
import { useBuild } from '../session/app_context.tsx';
import { CloseUpPicture } from '../kit/close_up_picture.tsx';
import { HandPictures } from '../by_hand/hand_pictures.tsx';
import { HandWay } from '../by_hand/hand_way.tsx';
import { ItemFacts } from './item_facts.tsx';
import { signsOf, signInWords } from '../kit/item_sign.ts';
import { hashOf } from '../route/place.ts';
import { SignIcon } from '../kit/sign_shape.tsx';
import { itemWords } from '../words/items_words.ts';

/** One planned place: its sign and what it says; open, its figures and its close-ups. */
export function ItemRow({ item, check, open }: { item: ReportItem; check: KeptCheck; open: boolean }) {
  const { kept, history } = useBuild();
  const { lengths } = history.present;
  const row = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (open) row.current?.scrollIntoView({ block: 'nearest' });
  }, [open]);
  const signs = signsOf(item);
  const here = { screen: 'build', id: kept.id, step: 'check' } as const;
  const closeUps = check.evidence.closeUps.filter((closeUp) => closeUp.id === item.id);
  return (
    <li ref={row} className={open ? 'item-row item-open' : 'item-row'}>
      <a
        className="item-head"
        href={hashOf(open ? here : { ...here, item: item.id })}
        aria-expanded={open}
        role="button"
        onKeyDown={(event) => {
          if (event.key !== ' ') return;
          event.preventDefault();
          event.currentTarget.click();
        }}
      >
        <span className="item-id">{item.id}</span>
        {signs.map((sign) => (
          <SignIcon key={sign.kind} sign={sign} />
        ))}
        <span className="item-says">{capitalized(signs.map((sign) => signInWords(sign, lengths)).join('; '))}</span>
      </a>
      {open && (
        <div className="item-body">
          {item.cause && <p>{item.cause}</p>}
          <ItemFacts item={item} check={check} />
          <div className="close-ups">
            {closeUps.map((closeUp) => (
              <CloseUpPicture key={closeUp.file} closeUp={closeUp} />
            ))}
            {item.byHand && <HandPictures id={item.id} check={check} />}
          </div>
          {closeUps.length === 0 && !item.byHand && <p className="hint">{itemWords.noCloseUp}</p>}
          <HandWay item={item} check={check} />
        </div>
      )}
    </li>
  );
}
