import type { CSSProperties } from 'react';

/** The build's thread colour as the page's accent, with black or white on it, whichever stands out more (WCAG 2.2). */
export function threadStyle(thread: string): CSSProperties {
  return { '--thread': thread, '--on-thread': luminance(thread) > 0.179 ? '#000' : '#fff' } as CSSProperties;
}

/** Relative luminance of #rrggbb, WCAG 2.2. Black and white have equal contrast at about 0.179. */
function luminance(hex: string): number {
  const channel = (from: number) => {
    const value = Number.parseInt(hex.slice(from, from + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}
