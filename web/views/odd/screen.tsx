import type { EvidenceReport } from '../../../server/schemas/evidence.ts';
import type { OddGrouping, OddOnes } from '../../../server/schemas/evidence-odd.ts';
import { evidenceCsvUrl } from '../../api/evidence.ts';
import { ODD_LIST_LABELS, ODD_LISTS, type OddList, readOddList } from '../../state/evidence-odd.ts';
import { formatNumber } from '../../state/format.ts';
import { screenAddress } from '../../state/routes.ts';
import { EvidenceFrame } from '../evidence/evidence-frame.tsx';
import { Tabs } from '../shared/controls.tsx';
import { Banner } from '../shared/states.tsx';
import { navigate, useAddress } from '../shared/url.tsx';
import { GroupingCard } from './grouping.tsx';
import './odd.css';
import { Contradictions, EarlyFailures, Influence } from './seal-lists.tsx';

/** What stands out beyond chance, and the records to look at first. */
export function OddOnesScreen() {
  return (
    <EvidenceFrame
      title="Odd ones"
      lede="Lots, facilities and districts whose seals fail early or last long beyond chance, and single records worth a second look. A reason to look, not a judgement: thin records are never named."
    >
      {(report) => <OddOnesView report={report} />}
    </EvidenceFrame>
  );
}

function OddOnesView({ report: { odd, modelVersion } }: { report: EvidenceReport }) {
  const { path, params } = useAddress();
  const list = readOddList(params.get('list'));
  const show = (next: OddList) => {
    const changed = new URLSearchParams(params);
    changed.set('list', next);
    navigate(screenAddress(path, changed), { replace: true });
  };
  return (
    <>
      {odd.note && <Banner kind="caution">{odd.note}</Banner>}
      <Tabs
        label="Lists"
        value={list}
        onChange={show}
        choices={ODD_LISTS.map((value) => ({ value, label: `${ODD_LIST_LABELS[value]} (${tally(odd, value)})` }))}
      >
        <List odd={odd} list={list} />
      </Tabs>
      <p>
        <a className="button" href={evidenceCsvUrl('odd', modelVersion)} download>
          Save all lists (CSV)
        </a>
      </p>
    </>
  );
}

const groupingOf = ({ groupings }: OddOnes, list: OddList): OddGrouping | undefined =>
  groupings.find(({ name }) => name === list);

function tally(odd: OddOnes, list: OddList): string {
  if (list === 'early' || list === 'influential' || list === 'contradictory')
    return formatNumber(odd[list]?.count ?? 0);
  return formatNumber(groupingOf(odd, list)?.odd.length ?? 0);
}

function List({ odd, list }: { odd: OddOnes; list: OddList }) {
  if (list === 'early') return <EarlyFailures list={odd.early} />;
  if (list === 'influential') return <Influence list={odd.influential} />;
  if (list === 'contradictory') return <Contradictions list={odd.contradictory} />;
  const grouping = groupingOf(odd, list);
  return grouping ? (
    <GroupingCard key={list} grouping={grouping} />
  ) : (
    <section className="card">
      <p>There was no fit, so nothing could be compared.</p>
    </section>
  );
}
