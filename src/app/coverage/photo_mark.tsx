import type { PhotoJudgement } from './photo_judgement.ts';

/** Whether a photo will do, by shape: a dot, a triangle, a cross. The words stand beside it. */
export function PhotoMark({ mark }: { mark: PhotoJudgement['mark'] }) {
  return (
    <svg className="sign-icon" viewBox="-12 -12 24 24" width="24" height="24" aria-hidden="true">
      {mark === 'good' && <circle className="sign sign-dot" r={6} />}
      {mark === 'doubtful' && <path className="sign sign-line" d="M0 -8L8 7H-8ZM0 -2.5V2.5M0 4.4V4.6" />}
      {mark === 'unusable' && <path className="sign sign-line sign-warn" d="M-7 -7L7 7M7 -7L-7 7" />}
    </svg>
  );
}
