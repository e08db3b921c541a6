import { type RefObject, useEffect, useState } from 'react';

/** True once the element has come near the window, and from then on. */
export function useNear(place: RefObject<Element | null>): boolean {
  const [near, setNear] = useState(false);
  useEffect(() => {
    if (!place.current || near) return;
    const watcher = new IntersectionObserver(
      (entries) => {
        if (entries.some(({ isIntersecting }) => isIntersecting)) setNear(true);
      },
      { rootMargin: '300px' },
    );
    watcher.observe(place.current);
    return () => watcher.disconnect();
  }, [place, near]);
  return near;
}
