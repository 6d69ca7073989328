import type { ReactNode } from 'react';
import { hashOf, type Place } from './place.ts';

/** A link to a place in the app. */
export function PlaceLink({
  place,
  className,
  current,
  children,
}: {
  place: Place;
  className?: string;
  current?: boolean;
  children: ReactNode;
}) {
  return (
    <a href={hashOf(place)} className={className} aria-current={current ? 'page' : undefined}>
      {children}
    </a>
  );
}
