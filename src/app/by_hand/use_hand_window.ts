import { useCallback, useState } from 'react';
import type { Pixel } from '../../geometry/vector.ts';
import { useApp } from '../session/app_context.tsx';
import { useBlobUrl } from './hand_blob_url.ts';
import type { HandPhotoChoice } from './hand_start.ts';
import { around, type HandView, showing, type Size, wholePhoto, within } from './hand_view.ts';

type Follow = (element: HTMLElement | null) => (() => void) | undefined;

/** The photo at hand and how it stands in its window; each photo keeps its own view. */
export interface HandWindow {
  /** where the photo's file can be read */
  url: string | undefined;
  unreadable: boolean;
  /** of the upright photo, once it is known */
  size: Size | undefined;
  /** CSS pixels, once it stands on the page */
  window: Size | undefined;
  view: HandView | undefined;
  change: (change: (view: HandView) => HandView) => void;
  /** shows the place that was asked for, or the whole photo */
  home: () => void;
  /** about the window's middle */
  zoom: (factor: number) => void;
  /** moves the photo so that a place of it shows */
  bringIn: (place: Pixel) => void;
  /** what became of the photo's file */
  settle: (natural: Size | 'unreadable') => void;
}

/** The window a photo is pointed in, and the ref that names its element. */
export function useHandWindow(choice: HandPhotoChoice): [HandWindow, Follow] {
  const { actions } = useApp();
  const { id, name } = choice.entry;
  const [window, follow] = useSize();
  const [views, setViews] = useState<Record<string, HandView>>({});
  const [loaded, setLoaded] = useState<Record<string, Size | 'unreadable'>>({});
  const url = useBlobUrl(useCallback(() => actions.photoFile(id), [actions, id]));
  const seen = loaded[name];
  // a check's points are in the pixels it read; a browser may hand out the photo in another size
  const size = seen === 'unreadable' ? undefined : seen && (choice.size ?? seen);
  const home = size && window && homeView(choice, window, size);
  const view = size && window && home ? within(views[name] ?? home, window, size) : home;
  const change = (step: (view: HandView) => HandView) =>
    setViews((all) => (home ? { ...all, [name]: step(all[name] ?? home) } : all));
  const photo: HandWindow = {
    url,
    unreadable: seen === 'unreadable',
    size,
    window,
    view,
    change,
    home: () => home && change(() => home),
    zoom: (factor) =>
      change((now) => (size && window ? within({ ...now, scale: now.scale * factor }, window, size) : now)),
    bringIn: (place) => {
      if (window && size) change((now) => showing(now, place, window, size));
    },
    settle: (natural) => setLoaded((all) => ({ ...all, [name]: natural })),
  };
  return [photo, follow];
}

const homeView = ({ start }: HandPhotoChoice, window: Size, size: Size): HandView =>
  start ? around(start.place, start.reach, window, size) : wholePhoto(window, size);

/** An element's size in CSS pixels, followed as it changes; undefined before it stands on the page. */
function useSize(): [Size | undefined, Follow] {
  const [size, setSize] = useState<Size>();
  const follow = useCallback((element: HTMLElement | null) => {
    if (!element) return;
    const observer = new ResizeObserver(() => {
      const { clientWidth, clientHeight } = element;
      if (clientWidth > 0 && clientHeight > 0) setSize({ width: clientWidth, height: clientHeight });
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [size, follow];
}
