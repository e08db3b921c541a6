import { useState } from 'react';
import type { Schedule } from '../../../../server/schemas/closures.ts';
import { calendarAddress, closureFileUrl } from '../../../api/closures.ts';
import { Field } from '../../shared/controls.tsx';
import { useUnits } from '../../shared/preferences.ts';

const FILES = [
  { ending: 'ics', label: 'Calendar (.ics)', what: 'an event for each closure, to import once' },
  { ending: 'csv', label: 'Table (CSV)', what: 'a line for each segment of each closure' },
  {
    ending: 'pdf',
    label: 'Packets (PDF)',
    what: 'a packet for each closure: map, segments, amounts, order of work, checks',
  },
] as const;

/** The closures as files, and an address to which calendars may subscribe. */
export function TakeAway({ schedule }: { schedule: Schedule }) {
  const units = useUnits();
  const [copied, setCopied] = useState<'copied' | 'failed' | null>(null);
  const address = calendarAddress(window.location.origin, schedule.planId);
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(address);
      setCopied('copied');
    } catch {
      setCopied('failed');
    }
  };
  return (
    <section className="card closure-take-away" aria-label="Take it away">
      <div className="row take-away">
        <span className="small soft">Take it away:</span>
        {FILES.map(({ ending, label, what }) => (
          <a
            key={ending}
            className="button"
            href={closureFileUrl(schedule.planId, ending, units)}
            title={what}
            download
          >
            {label}
          </a>
        ))}
      </div>
      <div className="subscription">
        <Field
          label="Address to subscribe to"
          hint="A calendar program that reads it again moves its events when closures move. It answers where this server can be reached."
        >
          {(control) => (
            <input
              {...control}
              className="input code"
              readOnly
              value={address}
              onFocus={({ target }) => target.select()}
            />
          )}
        </Field>
        <button type="button" className="button" onClick={() => void copy()}>
          Copy the address
        </button>
        <span className="small" role="status">
          {copied === 'copied' && 'Copied.'}
          {copied === 'failed' && 'The browser did not let it be copied: select it and copy by hand.'}
        </span>
      </div>
    </section>
  );
}
