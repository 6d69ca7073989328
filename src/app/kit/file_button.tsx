import { type ReactNode, useRef } from 'react';

/** A button that opens the platform's file choice. */
export function FileButton({
  accept,
  multiple = true,
  capture = false,
  className,
  before,
  onFiles,
  children,
}: {
  accept: string;
  multiple?: boolean;
  /** goes straight to the camera where the device has one */
  capture?: boolean;
  className?: string;
  /** what must be done before the page may lose the screen to the camera */
  before?: () => Promise<void>;
  onFiles: (files: File[]) => void;
  children: ReactNode;
}) {
  const input = useRef<HTMLInputElement>(null);
  const open = () => input.current?.click();
  return (
    <>
      <button type="button" className={className} onClick={() => (before ? void before().then(open) : open())}>
        {children}
      </button>
      <input
        ref={input}
        type="file"
        hidden
        accept={accept}
        multiple={multiple}
        {...(capture ? { capture: 'environment' as const } : {})}
        onChange={(event) => {
          const files = [...(event.target.files ?? [])];
          event.target.value = '';
          if (files.length > 0) onFiles(files);
        }}
      />
    </>
  );
}
