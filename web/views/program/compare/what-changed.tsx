import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import { fetchProgramChanges } from '../../../api/scenarios.ts';
import { Field } from '../../shared/controls.tsx';
import { Answered } from '../../shared/states.tsx';
import { Changes } from './changes.tsx';

/** What changes from one of the compared programs to another. */
export function WhatChanged({ programs }: { programs: readonly Program[] }) {
  const ids = programs.map(({ scenarioId }) => scenarioId);
  const [wantedFrom, setFrom] = useState(ids[0]);
  const [wantedTo, setTo] = useState(ids[1]);
  // A program that was taken out of the comparison gives way to one that is in it.
  const from = ids.includes(wantedFrom) ? wantedFrom : ids[0];
  const to = ids.includes(wantedTo) && wantedTo !== from ? wantedTo : (ids.find((id) => id !== from) ?? ids[0]);
  const changes = useQuery({
    queryKey: ['program-changes', from, to],
    queryFn: ({ signal }) => fetchProgramChanges(from, to, signal),
  });
  const choice = (label: string, value: string, other: string, onChange: (id: string) => void) => (
    <Field label={label}>
      {(control) => (
        <select {...control} className="select" value={value} onChange={({ target }) => onChange(target.value)}>
          {programs.map(({ scenarioId, scenarioName }) => (
            <option key={scenarioId} value={scenarioId} disabled={scenarioId === other}>
              {scenarioName}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
  return (
    <section className="card stack" aria-labelledby="changed-title">
      <h2 id="changed-title">What changes from one to the other</h2>
      <div className="row changed-choice">
        {choice('From', from, to, setFrom)}
        {choice('To', to, from, setTo)}
        <button
          type="button"
          className="button"
          onClick={() => {
            setFrom(to);
            setTo(from);
          }}
        >
          Turn round
        </button>
      </div>
      <Answered query={changes} what="what changed">
        {(data) => <Changes changes={data} currency={programs[0].currency} />}
      </Answered>
    </section>
  );
}
