import type { Contradictory, EarlyFailure, InfluentialSeal, OddOnes } from '../../../server/schemas/evidence-odd.ts';
import { ODD_LIST_LABELS, segmentsLink } from '../../state/evidence-odd.ts';
import { inPlainWords } from '../../state/evidence-words.ts';
import { formatNumber, formatShare, NOT_KNOWN } from '../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { type Column, DataTable } from '../shared/data-table.tsx';
import { OpenLinks, SegmentLinks } from './open-links.tsx';

type Seal = EarlyFailure | InfluentialSeal | Contradictory;
interface SealList<S extends Seal> {
  readonly rule: string;
  readonly sentence: string;
  readonly count: number;
  readonly segments: number;
  readonly segmentIds: readonly string[];
  readonly seals: readonly S[];
}

export const EarlyFailures = ({ list }: { list: OddOnes['early'] }) => (
  <SealListCard
    id="early"
    list={list}
    columns={[
      {
        key: 'failed',
        head: 'Failed between, years',
        numeric: true,
        cell: ({ soundYears, failedYears }) => `${formatNumber(soundYears, 1)} and ${formatNumber(failedYears, 1)}`,
      },
      {
        key: 'median',
        head: 'Median life forecast, years',
        numeric: true,
        cell: ({ medianLifeYears }) => formatNumber(medianLifeYears, 1),
      },
      { key: 'chance', head: 'Chance of it', numeric: true, cell: ({ chance }) => formatShare(chance) },
      { key: 'inPlace', head: 'Seal', cell: ({ inPlace }) => (inPlace ? 'still in place' : 'replaced') },
    ]}
  />
);

export function Influence({ list }: { list: OddOnes['influential'] }) {
  if (list === null)
    return (
      <section className="card stack" aria-labelledby="odd-influential">
        <h2 id="odd-influential">{ODD_LIST_LABELS.influential}</h2>
        <p>Which records pull the fit most could not be worked out for this model.</p>
      </section>
    );
  return (
    <SealListCard
      id="influential"
      list={list}
      columns={[
        {
          key: 'distance',
          head: 'Moves the fit by, 2 log-likelihood',
          numeric: true,
          cell: ({ distance }) => formatNumber(distance, 3),
        },
        {
          key: 'shift',
          head: 'Most of all (standard errors)',
          cell: ({ parameter, shift }) =>
            parameter === null ? NOT_KNOWN : `${inPlainWords(parameter)} (${formatNumber(shift, 2)})`,
        },
      ]}
    />
  );
}

export const Contradictions = ({ list }: { list: OddOnes['contradictory'] }) => (
  <SealListCard
    id="contradictory"
    list={list}
    columns={[
      {
        key: 'used',
        head: 'In the fit',
        cell: ({ used }) => <span className={`badge ${used ? 'accent' : 'chalk'}`}>{used ? 'used' : 'left out'}</span>,
      },
    ]}
  />
);

/** A list of seals: its rule, how many there are, links for all of them and for each. */
function SealListCard<S extends Seal>({
  id,
  list,
  columns,
}: {
  id: 'early' | 'influential' | 'contradictory';
  list: SealList<S>;
  columns: readonly Column<S>[];
}) {
  const title = ODD_LIST_LABELS[id];
  return (
    <section className="card stack odd-list" aria-labelledby={`odd-${id}`}>
      <h2 id={`odd-${id}`}>{title}</h2>
      <p className="verdict-sentence">{inPlainWords(list.sentence)}</p>
      <p className="small soft">In this list: {list.rule}</p>
      {list.count > 0 && (
        <>
          <p className="row">
            Open them all: <OpenLinks what={title} link={segmentsLink(list.segmentIds)} segments={list.segments} />
          </p>
          <DataTable
            caption={`${title}: the seals`}
            captionUnseen
            maxHeight="36rem"
            rows={list.seals}
            rowKey={({ sealId }) => sealId}
            columns={[
              { key: 'segment', head: 'Segment', cell: ({ segmentId }) => <SegmentLinks segmentId={segmentId} /> },
              {
                key: 'class',
                head: 'Sealant class',
                cell: ({ sealantClass }) => labelOf(SEALANT_CLASS_LABELS, sealantClass),
              },
              ...columns,
              {
                key: 'sentence',
                head: 'In words',
                cell: ({ sentence }) => <span className="words">{inPlainWords(sentence)}</span>,
              },
              { key: 'place', head: 'Where', cell: (seal) => <Place seal={seal} /> },
            ]}
          />
          {list.seals.length < list.count && (
            <p className="small soft">
              The table has the first {formatNumber(list.seals.length)} of {formatNumber(list.count)} seals.
            </p>
          )}
        </>
      )}
    </section>
  );
}

const Place = ({ seal: { facilityId, district, lot } }: { seal: Seal }) => (
  <span className="place">
    {facilityId}, {district}
    {lot !== null && <span className="level-key">lot {lot}</span>}
  </span>
);
