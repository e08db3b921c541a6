import { useSyncExternalStore } from 'react';

/** Whether a media query holds, followed as it changes. */
export const useMedia = (media: string): boolean =>
  useSyncExternalStore(
    (listener) => {
      const query = window.matchMedia(media);
      query.addEventListener('change', listener);
      return () => query.removeEventListener('change', listener);
    },
    () => window.matchMedia(media).matches,
  );
