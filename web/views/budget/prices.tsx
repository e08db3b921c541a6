import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Budget } from '../../../server/schemas/budget.ts';
import type { Settings } from '../../../server/schemas/settings.ts';
import type { UnitCost } from '../../../server/schemas/unit-cost.ts';
import { recomputeBudget, saveUnitCosts } from '../../api/budget.ts';
import { describeError } from '../../api/request.ts';
import { saveSettings } from '../../api/settings.ts';
import { draftCosts, draftRates, readCosts, readRates } from '../../state/budget-edit.ts';
import { activeJobs } from '../../state/jobs.ts';
import type { Units } from '../../state/units.ts';
import { JobLine } from '../data/job-line.tsx';
import { tellJob, useJobs } from '../data/use-jobs.ts';
import { useUnits } from '../shared/preferences.ts';
import { settingsQuery } from '../shared/queries.ts';
import { Answered, Banner } from '../shared/states.tsx';
import { unitCostsQuery } from './budget-queries.ts';
import { CostTable } from './cost-table.tsx';
import { RateFields } from './rate-fields.tsx';

/** Unit costs and rates: typed, checked, saved, and the budget computed again with them. */
export function Prices({ budget }: { budget: Budget | null }) {
  const settings = useQuery(settingsQuery);
  const costs = useQuery(unitCostsQuery);
  return (
    <section className="card stack" aria-labelledby="prices-title">
      <h2 id="prices-title">Prices and rates</h2>
      <Answered query={settings} what="the settings">
        {(saved) => (
          <Answered query={costs} what="the unit costs">
            {(prices) => <PriceForm key={JSON.stringify([saved, prices])} {...{ budget, saved, prices }} />}
          </Answered>
        )}
      </Answered>
    </section>
  );
}

interface FormProps {
  budget: Budget | null;
  saved: Settings;
  prices: readonly UnitCost[];
}

const draftOf = (saved: Settings, prices: readonly UnitCost[], units: Units) => ({
  units,
  touched: false,
  costs: draftCosts(prices, units),
  rates: draftRates(saved, units),
});

function PriceForm({ budget, saved, prices }: FormProps) {
  const units = useUnits();
  const [kept, setDraft] = useState(() => draftOf(saved, prices, units));
  // What has been typed stays in the unit it was typed in; an untouched form follows the switch.
  const draft = kept.touched || kept.units === units ? kept : draftOf(saved, prices, units);
  const readPrices = readCosts(draft.costs, draft.units);
  const readRate = readRates(draft.rates, saved, draft.units);
  const problems = readPrices.problems.length + readRate.problems.length;
  const save = useSavePrices({ saved, prices, compute: budget !== null });
  const running = activeJobs(useJobs()).find(({ kind }) => kind === 'forecast');
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (problems === 0) save.mutate({ settings: readRate.settings, costs: readPrices.costs });
      }}
    >
      <CostTable
        drafts={draft.costs}
        problems={readPrices.problems}
        units={draft.units}
        currency={draft.rates.currency}
        unpriced={unpricedClasses(budget, draft.costs)}
        onChange={(costs) => setDraft({ ...draft, costs, touched: true })}
      />
      <RateFields
        draft={draft.rates}
        problems={readRate.problems}
        units={draft.units}
        onChange={(rates) => setDraft({ ...draft, rates, touched: true })}
      />
      {save.isError && <Banner kind="fault">{describeError(save.error)}</Banner>}
      {running ? (
        <JobLine job={running} />
      ) : (
        <div className="row">
          <button
            type="submit"
            className="button primary"
            disabled={problems > 0 || save.isPending || (!budget && !draft.touched)}
          >
            {saveLabel(budget !== null, draft.touched)}
          </button>
          {draft.touched && (
            <button type="button" className="button" onClick={() => setDraft(draftOf(saved, prices, units))}>
              Undo changes
            </button>
          )}
          <span className="small soft" role="status">
            {problems > 0 ? 'Mend the marked fields first.' : draft.touched ? 'Not saved yet.' : ''}
          </span>
        </div>
      )}
    </form>
  );
}

/** Classes in the forecast for which no price is given. */
function unpricedClasses(budget: Budget | null, drafts: readonly { sealantClass: UnitCost['sealantClass'] }[]) {
  const priced = new Set(drafts.map(({ sealantClass }) => sealantClass));
  const classes = new Set((budget?.classTotals ?? []).map(({ sealantClass }) => sealantClass));
  return [...classes].filter((sealantClass) => !priced.has(sealantClass)).sort();
}

const saveLabel = (computed: boolean, touched: boolean): string =>
  computed ? (touched ? 'Save and compute again' : 'Compute again') : 'Save';

/** Saves what is new, then prices the forecast again where there is one. */
function useSavePrices({ saved, prices, compute }: Pick<FormProps, 'saved' | 'prices'> & { compute: boolean }) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: async ({ settings, costs }: { settings: Settings; costs: UnitCost[] }) => {
      if (JSON.stringify(settings) !== JSON.stringify(saved)) {
        client.setQueryData(settingsQuery.queryKey, await saveSettings(settings));
      }
      if (JSON.stringify(costs) !== JSON.stringify(prices)) {
        client.setQueryData(unitCostsQuery.queryKey, await saveUnitCosts(costs));
      }
      return compute ? recomputeBudget() : null;
    },
    onSuccess: (job) => job && tellJob(client, job),
  });
}
