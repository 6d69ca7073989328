import { type DragEvent, type ReactNode, useRef, useState } from 'react';
import { droppedFiles } from '../files/open_files.ts';

/** Takes files and folders dropped anywhere on what it holds. */
export function DropArea({
  onFiles,
  hint,
  children,
}: {
  onFiles: (files: File[]) => void;
  hint: string;
  children: ReactNode;
}) {
  const [over, setOver] = useState(false);
  const depth = useRef(0);
  const hasFiles = (event: DragEvent) => event.dataTransfer.types.includes('Files');
  return (
    <div
      className={over ? 'drop-area drop-over' : 'drop-area'}
      onDragEnter={(event) => {
        if (!hasFiles(event)) return;
        depth.current++;
        setOver(true);
      }}
      onDragLeave={() => {
        depth.current = Math.max(0, depth.current - 1);
        if (depth.current === 0) setOver(false);
      }}
      onDragOver={(event) => hasFiles(event) && event.preventDefault()}
      onDrop={(event) => {
        if (!hasFiles(event)) return;
        event.preventDefault();
        depth.current = 0;
        setOver(false);
        void droppedFiles(event.dataTransfer).then(onFiles);
      }}
    >
      {children}
      {over && <p className="drop-hint">{hint}</p>}
    </div>
  );
}
