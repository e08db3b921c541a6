import { useMutation, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { ClosurePlan } from '../../../server/schemas/closures.ts';
import { createClosurePlan, fetchClosureDefaults } from '../../api/closures.ts';
import { formatCount, formatLength } from '../../state/format.ts';
import { freeName } from '../../state/free-name.ts';
import { newestFirst } from '../../state/program-open.ts';
import { programQuery, scenariosQuery } from '../program/program-queries.ts';
import { Field } from '../shared/controls.tsx';
import { NameDialog } from '../shared/name-dialog.tsx';
import { useUnits } from '../shared/preferences.ts';
import type { ClosureViewChange } from './use-closure-view.ts';
import { usePlanNews } from './use-plan-news.ts';

interface Props {
  readonly plans: readonly ClosurePlan[];
  readonly setView: ClosureViewChange;
  readonly primary?: boolean;
}

/** Makes a plan for one year of a scenario's program, from the defaults, and opens it. */
export function NewPlan({ plans, setView, primary = false }: Props) {
  const [open, setOpen] = useState(false);
  return (
    <>
      <button type="button" className={`button${primary ? ' primary' : ''}`} onClick={() => setOpen(true)}>
        {plans.length === 0 ? 'Make the first closure plan' : 'New closure plan'}
      </button>
      {open && <NewPlanDialog {...{ plans, setView }} onClose={() => setOpen(false)} />}
    </>
  );
}

function NewPlanDialog({ plans, setView, onClose }: Props & { onClose: () => void }) {
  const { data: scenarios = [] } = useQuery(scenariosQuery);
  const solved = newestFirst(scenarios.filter(({ program }) => program !== null));
  const [scenarioId, setScenarioId] = useState<string | null>(null);
  const [year, setYear] = useState<number | null>(null);
  const scenario = solved.find(({ id }) => id === scenarioId) ?? solved[0];
  const { data: program } = useQuery({ ...programQuery(scenario?.id ?? ''), enabled: scenario !== undefined });
  const years = program?.years.filter(({ works }) => works > 0) ?? [];
  const chosen = years.find((each) => each.year === year) ?? years[0];
  const units = useUnits();
  const tell = usePlanNews();
  const create = useMutation({
    mutationFn: async (named: { name: string; note: string }) => {
      const { rules } = await fetchClosureDefaults({ scenarioId: scenario.id, year: chosen.year });
      return createClosurePlan({ ...named, rules });
    },
    onSuccess: (made) => {
      tell(made);
      onClose();
      setView({ planId: made.id, part: 'setup' });
    },
  });
  const names = plans.map(({ name }) => name);
  const first = 'Closures';
  return (
    <NameDialog
      title="New closure plan"
      submit="Make it"
      name={names.includes(first) ? freeName(first, names) : first}
      note=""
      busy={create.isPending || !chosen}
      error={create.error}
      onClose={onClose}
      onSubmit={(named) => create.mutate(named)}
    >
      <p>It starts from defaults for your facilities, crews and climate. Each is shown with its reason.</p>
      <Field label="Program of">
        {(control) => (
          <select
            {...control}
            className="select"
            value={scenario?.id ?? ''}
            onChange={({ target }) => setScenarioId(target.value)}
          >
            {solved.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        )}
      </Field>
      <Field
        label="Year of the program"
        error={program && years.length === 0 ? 'This program has no work in any year.' : null}
      >
        {(control) => (
          <select
            {...control}
            className="select"
            value={chosen?.year ?? ''}
            onChange={({ target }) => setYear(Number(target.value))}
          >
            {years.map(({ year: each, works, lengthM, facilities }) => (
              <option key={each} value={each}>
                {each}: {formatCount(works, 'reseal')}, {formatLength(lengthM, units)} in{' '}
                {formatCount(facilities, 'facility', 'facilities')}
              </option>
            ))}
          </select>
        )}
      </Field>
    </NameDialog>
  );
}
