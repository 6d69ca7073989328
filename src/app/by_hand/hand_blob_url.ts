import { useEffect, useState } from 'react';

/**
 * One object URL for a blob that is fetched, so that all that show it share one decoded picture; let go with the last.
 */
export function useBlobUrl(fetchBlob: () => Promise<Blob | undefined>): string | undefined {
  const [held, setHeld] = useState<{ of: typeof fetchBlob; url: string }>();
  useEffect(() => {
    let url: string | undefined;
    let gone = false;
    void fetchBlob().then((blob) => {
      if (!blob || gone) return;
      url = URL.createObjectURL(blob);
      setHeld({ of: fetchBlob, url });
    });
    return () => {
      gone = true;
      if (url) URL.revokeObjectURL(url);
    };
  }, [fetchBlob]);
  return held?.of === fetchBlob ? held.url : undefined;
}
