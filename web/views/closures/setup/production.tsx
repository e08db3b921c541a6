import { keepPreviousData, useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import type { ClosureRules } from '../../../../server/schemas/closure-rules.ts';
import type { ClosureProduction } from '../../../../server/schemas/closures.ts';
import { fetchClosureProduction } from '../../../api/closures.ts';
import { describeError } from '../../../api/request.ts';
import { formatCount, formatLength, formatNumber } from '../../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { DataTable } from '../../shared/data-table.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { Banner, Loading } from '../../shared/states.tsx';
import type { RulesProps } from './rules-props.ts';

/** Typing comes to rest before the server is asked. */
const REST_MS = 600;

function useRested<T>(value: T): T {
  const [rested, setRested] = useState(value);
  useEffect(() => {
    const timer = window.setTimeout(() => setRested(value), REST_MS);
    return () => window.clearTimeout(timer);
  }, [value]);
  return rested;
}

/** What one closure holds under the rules as they stand in the form: whether they are worth a schedule. */
export function Production({ draft, problems }: RulesProps) {
  const rules = useRested(draft.rules);
  const sound = Object.keys(problems).length === 0;
  const answer = useQuery({
    queryKey: ['closure-production', rules],
    queryFn: ({ signal }) => fetchClosureProduction(rules, signal),
    enabled: sound,
    placeholderData: keepPreviousData,
    retry: false,
  });
  return (
    <section className="card stack" aria-labelledby="production">
      <h2 id="production">What one closure holds</h2>
      {answer.data ? (
        <ProductionTable production={answer.data} rules={rules} />
      ) : answer.isError ? (
        <Banner kind="caution">Not worked out: {describeError(answer.error)}</Banner>
      ) : sound ? (
        <Loading what="the work of the year" />
      ) : (
        <p className="small">Worked out once the marked fields are mended.</p>
      )}
    </section>
  );
}

type Row = ClosureProduction['rows'][number];

const SEALS_TOLD = 3;
/** Names hold commas, so semicolons part them. */
function seals(classes: Row['sealsInPlace']): string {
  const names = classes.map((each) => (each === null ? 'No seal' : labelOf(SEALANT_CLASS_LABELS, each)));
  if (names.length <= SEALS_TOLD) return names.join('; ');
  return `${names.slice(0, SEALS_TOLD - 1).join('; ')}; ${names.length - SEALS_TOLD + 1} more`;
}

/** How many closures each kind of window would need if all of its work were done in it. */
function inAll(rows: readonly Row[], rules: ClosureRules): string {
  const windows = [...new Set(rows.map(({ window }) => window))].map((window) => {
    const own = rows.filter((row) => row.window === window);
    const closures = own.reduce((sum, row) => sum + (row.closures ?? 0), 0);
    const left = own.some((row) => row.closures === null) ? ', and some of the work does not go into one' : '';
    return `${rules.windows[window]?.name ?? '…'}: about ${formatCount(closures, 'closure')}${left}`;
  });
  return `${windows.join('. ')}.`;
}

function ProductionTable({
  production: { rows, refusedM },
  rules,
}: {
  production: ClosureProduction;
  rules: ClosureRules;
}) {
  const units = useUnits();
  return (
    <>
      {rows.length > 0 && <p>{inAll(rows, rules)}</p>}
      {rows.length === 0 ? (
        <p>None of the work of {rules.year} falls in a window.</p>
      ) : (
        <DataTable
          caption="Work in one closure, by window and kind of work"
          captionUnseen
          maxHeight="22rem"
          rows={rows}
          rowKey={(_, index) => index}
          columns={[
            { key: 'work', head: 'New seal', cell: ({ sealantClass }) => labelOf(SEALANT_CLASS_LABELS, sealantClass) },
            {
              key: 'old',
              head: 'In place of',
              cell: ({ sealsInPlace }) => <span className="how">{seals(sealsInPlace)}</span>,
            },
            {
              key: 'window',
              head: 'Window',
              cell: ({ window, windows }) => (
                <>
                  {rules.windows[window]?.name ?? '…'}{' '}
                  <span className="soft">({formatNumber(windows)} a facility)</span>
                </>
              ),
            },
            { key: 'todo', head: 'To do', numeric: true, cell: ({ lengthM }) => formatLength(lengthM, units) },
            {
              key: 'minutes',
              head: 'Left for work',
              numeric: true,
              cell: ({ workMinutes, why }) => (why === null ? hours(workMinutes) : '–'),
            },
            {
              key: 'metres',
              head: 'One closure does about',
              numeric: true,
              cell: ({ metres, why }) =>
                metres === null ? <span className="how">{why}</span> : formatLength(metres, units),
            },
            {
              key: 'closures',
              head: 'Needs about',
              numeric: true,
              cell: ({ closures }) => (closures === null ? '–' : formatCount(closures, 'closure')),
            },
          ]}
        />
      )}
      <p className="small soft">
        At the rates and waits below, before weather, barred days and other closures count: the schedule says what fits,
        with its chance. Rates are brackets of common practice: put your own crews’ in their place.
        {refusedM > 0 &&
          ` ${formatLength(refusedM, units)} more is not counted: its sealant is refused where fuel is spilled, or is not known.`}
      </p>
    </>
  );
}

const hours = (minutes: number): string => {
  const whole = Math.round(minutes);
  return whole < 60 ? `${whole} min` : `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, '0')} min`;
};
