import { type ReactNode, useState } from 'react';

/** A part that stands folded until it is wanted; its content is made on opening. */
export function Fold({ title, open = false, children }: { title: ReactNode; open?: boolean; children: ReactNode }) {
  const [opened, setOpened] = useState(open);
  return (
    <details className="fold" open={opened} onToggle={(event) => setOpened(event.currentTarget.open)}>
      <summary>{title}</summary>
      {opened && <div className="fold-body">{children}</div>}
    </details>
  );
}
