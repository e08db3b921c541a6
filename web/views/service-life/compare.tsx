import { useQuery } from '@tanstack/react-query';
import type { ModelComparison } from '../../../server/schemas/models.ts';
import type { Settings } from '../../../server/schemas/settings.ts';
import { formatCount, formatDay } from '../../state/format.ts';
import { settingsQuery } from '../shared/queries.ts';
import { Answered, Banner } from '../shared/states.tsx';
import { CompareChoices } from './compare-choices.tsx';
import { ComparePicture } from './compare-picture.tsx';
import { CompareTable } from './compare-table.tsx';
import { JobPart } from './job-part.tsx';
import { comparisonQuery } from './model-queries.ts';

/** Other models beside the present one: what to try, what came of it, and a way to adopt one. */
export function CompareModels() {
  const settings = useQuery(settingsQuery);
  const comparison = useQuery(comparisonQuery);
  return (
    <Answered query={settings} what="the settings">
      {(present) => (
        <>
          <CompareChoices key={JSON.stringify(present)} settings={present} />
          <Answered query={comparison} what="the comparison">
            {(made) => <Compared comparison={made} settings={present} />}
          </Answered>
        </>
      )}
    </Answered>
  );
}

function Compared({ comparison, settings }: { comparison: ModelComparison; settings: Settings }) {
  const { madeAt, dataVersion, outdated, rows, summary, notes } = comparison;
  if (madeAt === null) return null;
  return (
    <section className="card stack" aria-labelledby="compared-title">
      <h2 id="compared-title">Side by side</h2>
      {outdated && (
        <Banner kind="caution">Records have changed since this comparison was made. Compare again to trust it.</Banner>
      )}
      <p className="model-sentence">{summary}</p>
      <p className="small soft">
        {formatCount(rows.length, 'model')}, compared on {formatDay(madeAt)}
        {dataVersion !== null && `, data version ${dataVersion}`}.
      </p>
      <ComparePicture rows={rows} />
      <JobPart kinds={['forecast']} startError={null}>
        {null}
      </JobPart>
      <CompareTable rows={rows} settings={settings} />
      <ul className="small soft notes">
        {notes.map((note) => (
          <li key={note}>{note}</li>
        ))}
      </ul>
    </section>
  );
}
