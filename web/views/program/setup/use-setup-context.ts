import { useQuery } from '@tanstack/react-query';
import { modelQuery, settingsQuery, summaryQuery } from '../../shared/queries.ts';

/** What the form's lists offer: districts, the agency's money, and the first year of the horizon. */
export function useSetupContext() {
  const { data: summary } = useQuery(summaryQuery({}));
  const { data: settings } = useQuery(settingsQuery);
  const { data: model } = useQuery(modelQuery);
  const planned = settings?.planningDate ?? model?.planningDate;
  return {
    districts: (summary?.facets.district ?? []).map(({ value }) => value),
    classesInPlace: (summary?.facets.sealantClass ?? []).map(({ value }) => value),
    settings,
    currency: settings?.currency ?? '',
    firstYear: planned ? Number(planned.slice(0, 4)) : new Date().getFullYear(),
  };
}
