import { useQuery } from '@tanstack/react-query';
import { useEffect, useRef } from 'react';
import markUrl from '../../design/mark.svg?url';
import { SCREENS, type ScreenName, screenAddress } from '../../state/routes.ts';
import { JobIndicator } from '../data/job-indicator.tsx';
import { Switch } from '../shared/controls.tsx';
import { setThemeChoice, setUnits, useThemeChoice, useUnits } from '../shared/preferences.ts';
import { settingsQuery } from '../shared/queries.ts';
import { Link, useAddress } from '../shared/url.tsx';
import { MoonIcon, SunIcon, SystemIcon } from './icons.tsx';

/** Product, agency, menu and preferences: the same on every screen. */
export function Masthead({ current }: { current: ScreenName | null }) {
  const { params } = useAddress();
  const menu = useRef<HTMLElement>(null);
  // A narrow menu scrolls sideways: where one is must be in sight.
  useEffect(() => {
    const here = current && menu.current?.querySelector('[aria-current]');
    if (here) here.scrollIntoView({ inline: 'center', block: 'nearest', behavior: 'instant' });
  }, [current]);
  return (
    <header>
      <div className="masthead">
        <Link className="product" href={screenAddress('/map', params)}>
          <img src={markUrl} alt="" width="28" height="28" />
          Kerfcast
        </Link>
        <Agency />
        <nav className="menu" aria-label="Screens" ref={menu}>
          {SCREENS.map(({ path, name, label }) => (
            <Link key={name} href={screenAddress(path, params)} aria-current={name === current ? 'page' : undefined}>
              {label}
            </Link>
          ))}
        </nav>
        <JobIndicator />
        <Preferences />
      </div>
      <hr className="kerf" />
    </header>
  );
}

function Agency() {
  const { data: settings } = useQuery(settingsQuery);
  if (!settings) return <span className="agency" />;
  return (
    <span className="agency">
      <span className="agency-name">{settings.agencyName}</span>
      {settings.agencyInvented && (
        <span
          className="badge chalk"
          title="No such agency exists. Its network and its records were generated for trying things out."
        >
          invented agency
        </span>
      )}
    </span>
  );
}

function Preferences() {
  const units = useUnits();
  const theme = useThemeChoice();
  return (
    <div className="preferences">
      <Switch
        label="Units"
        value={units}
        onChange={setUnits}
        choices={[
          { value: 'si', label: 'SI units (m, mm)', short: 'SI' },
          { value: 'us', label: 'US customary units (ft, in)', short: 'US' },
        ]}
      />
      <Switch
        label="Theme"
        value={theme}
        onChange={setThemeChoice}
        choices={[
          { value: 'light', label: 'Light theme', short: <SunIcon /> },
          { value: 'dark', label: 'Dark theme', short: <MoonIcon /> },
          { value: 'system', label: 'Theme of the system', short: <SystemIcon /> },
        ]}
      />
    </div>
  );
}
