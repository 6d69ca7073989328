import { useCallback } from 'react';

/** Gives an element the blob's object URL while it shows, and takes the URL back when it goes. */
function useBlobSource(blob: Blob, attribute: 'src' | 'href') {
  return useCallback(
    (element: Element | null) => {
      if (!element) return;
      const url = URL.createObjectURL(blob);
      element.setAttribute(attribute, url);
      return () => URL.revokeObjectURL(url);
    },
    [blob, attribute],
  );
}

/** An image out of a blob. */
export function BlobImage({ blob, alt, className }: { blob: Blob; alt: string; className?: string }) {
  return <img ref={useBlobSource(blob, 'src')} alt={alt} className={className} />;
}

/** The same inside an SVG, stretched over a rectangle in its user units. */
export function SvgBlobImage({
  blob,
  x,
  y,
  width,
  height,
}: {
  blob: Blob;
  x: number;
  y: number;
  width: number;
  height: number;
}) {
  return (
    <image ref={useBlobSource(blob, 'href')} x={x} y={y} width={width} height={height} preserveAspectRatio="none" />
  );
}
