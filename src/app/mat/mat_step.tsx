import type { ReactNode } from 'react';

/** One thing to do on the bench: a drawing, a sentence, and what is to be written down of it. */
export function MatStep({
  title,
  says,
  drawing,
  children,
}: {
  title: string;
  says: string;
  drawing?: ReactNode;
  children?: ReactNode;
}) {
  return (
    <li className="mat-step">
      <h2>{title}</h2>
      {drawing}
      <p>{says}</p>
      {children}
    </li>
  );
}
