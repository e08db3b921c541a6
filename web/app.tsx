import { type ComponentType, lazy, Suspense, useEffect, useRef } from 'react';
import { matchScreen, type ScreenName } from './state/routes.ts';
import { ScreenBoundary } from './views/shared/boundary.tsx';
import { Empty, Loading } from './views/shared/states.tsx';
import { Link, useAddress } from './views/shared/url.tsx';
import { Filters } from './views/shell/filters.tsx';
import { Masthead } from './views/shell/masthead.tsx';

/** Each screen is fetched when it is first opened, so that the map library does not hold up the budget. */
const SCREEN_PARTS: Record<ScreenName, ComponentType> = {
  map: lazy(async () => ({ default: (await import('./views/map/screen.tsx')).MapScreen })),
  joints: lazy(async () => ({ default: (await import('./views/joints/screen.tsx')).JointsScreen })),
  'service-life': lazy(async () => ({ default: (await import('./views/service-life/screen.tsx')).ServiceLifeScreen })),
  evidence: lazy(async () => ({ default: (await import('./views/evidence/screen.tsx')).EvidenceScreen })),
  'odd-ones': lazy(async () => ({ default: (await import('./views/odd/screen.tsx')).OddOnesScreen })),
  budget: lazy(async () => ({ default: (await import('./views/budget/screen.tsx')).BudgetScreen })),
  program: lazy(async () => ({ default: (await import('./views/program/screen.tsx')).ProgramScreen })),
  closures: lazy(async () => ({ default: (await import('./views/closures/screen.tsx')).ClosuresScreen })),
  data: lazy(async () => ({ default: (await import('./views/data/screen.tsx')).DataScreen })),
};

export function App() {
  const { path } = useAddress();
  const screen = matchScreen(path);
  const main = useFocusOnNewScreen(screen?.name ?? 'none');
  const Part = screen && SCREEN_PARTS[screen.name];
  return (
    <>
      <a className="skip-link" href="#main">
        Skip to content
      </a>
      <Masthead current={screen?.name ?? null} />
      {screen?.filtered && <Filters />}
      <main id="main" className="shell-main" tabIndex={-1} ref={main}>
        <ScreenBoundary key={screen?.name ?? 'none'}>
          <Suspense fallback={<Loading what="the screen" />}>{Part ? <Part /> : <NoSuchScreen path={path} />}</Suspense>
        </ScreenBoundary>
      </main>
    </>
  );
}

/** After a move to another screen the focus starts at its content, as it would on a fresh page. */
function useFocusOnNewScreen(name: string) {
  const main = useRef<HTMLElement>(null);
  const shown = useRef(name);
  useEffect(() => {
    if (shown.current === name) return;
    shown.current = name;
    main.current?.focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }, [name]);
  return main;
}

function NoSuchScreen({ path }: { path: string }) {
  return (
    <Empty title="No such screen" action={<Link href="/map">Go to the map</Link>}>
      <p>There is nothing at {path}. The menu above lists what there is.</p>
    </Empty>
  );
}
