import { type ReactNode, useRef } from 'react';

/** A button that opens the platform's file choice. */
export function FileButton({
  accept,
  multiple = true,
  capture = false,
  className,
  onFiles,
  children,
}: {
  accept: string;
  multiple?: boolean;
  /** goes straight to the camera where the device has one */
  capture?: boolean;
  className?: string;
  onFiles: (files: File[]) => void;
  children: ReactNode;
}) {
  const input = useRef<HTMLInputElement>(null);
  return (
    <>
      <button type="button" className={className} onClick={() => input.current?.click()}>
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
