import { useMemo } from 'react';
import type { PriorTable } from '../../../server/schemas/priors.ts';
import { formatInterval } from '../../state/format.ts';
import { believedLife } from '../../state/prior-edit.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { SvgDownload } from '../shared/svg-download.tsx';
import { lifePairsChart, lifePairsHeight } from './life-pairs.ts';
import { useNarrow } from './use-narrow.ts';

/** How far the data moved each belief: median lives believed and fitted, of the classes on record. */
export function PriorPicture({ table }: { table: PriorTable }) {
  const narrow = useNarrow();
  const pairs = useMemo(
    () =>
      table.classes
        .filter(({ fitted }) => fitted !== null)
        .map((row) => ({
          label: labelOf(SEALANT_CLASS_LABELS, row.sealantClass),
          first: believedLife(row),
          second: row.fitted?.medianLifeYears ?? null,
        })),
    [table],
  );
  const options = useMemo(() => lifePairsChart(pairs, narrow), [pairs, narrow]);
  if (pairs.length === 0) return null;
  const said = pairs.map(
    ({ label, first, second }) =>
      `${label}: ${formatInterval(first, 1, 'years')}${second ? `, then ${formatInterval(second, 1, 'years')}` : ''}`,
  );
  return (
    <figure className="stack">
      <figcaption className="row">
        <ul className="chart-key small">
          <li>
            <span className="swatch before" aria-hidden="true" /> believed, with its 80 % interval
          </li>
          <li>
            <span className="swatch after" aria-hidden="true" /> after the data
            {table.modelVersion === null ? '' : ` (model ${table.modelVersion})`}, with its 80 % interval
          </li>
        </ul>
        <SvgDownload name="believed-and-fitted-lives" />
      </figcaption>
      <PlotPicture options={options} height={lifePairsHeight(pairs)} label={`Median lives. ${said.join('; ')}`} />
    </figure>
  );
}
