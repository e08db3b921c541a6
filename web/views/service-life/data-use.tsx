import type { ModelReport } from '../../../server/schemas/model.ts';
import { type Rule, readings, remarks, sealsOf } from '../../state/data-use.ts';
import { formatNumber, formatShare } from '../../state/format.ts';
import { DataTable } from '../shared/data-table.tsx';
import { Link } from '../shared/url.tsx';

/** Which records were used, which were left out, and why; with examples to look at. */
export function DataUse({ rules }: { rules: ModelReport['dataUse'] }) {
  const read = readings(rules);
  const said = remarks(rules);
  const total = sealsOf(read);
  const used = sealsOf(read.filter((rule) => rule.used));
  return (
    <section className="card stack" aria-labelledby="data-use-title">
      <h2 id="data-use-title">What the records said</h2>
      <p>
        Of {formatNumber(total)} seals on record {formatNumber(used)} were used
        {total > 0 && ` (${formatShare(used / total)})`}; {formatNumber(total - used)} were left out.
      </p>
      <RuleTable caption="How each seal was read" rules={read} total={total} />
      {said.length > 0 && (
        <>
          <p className="small">Of the same seals it was also noted:</p>
          <RuleTable caption="What was noted besides" rules={said} total={total} />
        </>
      )}
    </section>
  );
}

function RuleTable({ caption, rules, total }: { caption: string; rules: readonly Rule[]; total: number }) {
  return (
    <DataTable
      caption={caption}
      captionUnseen
      rows={rules}
      rowKey={({ rule }) => rule}
      columns={[
        { key: 'label', head: 'What the records say', cell: ({ label }) => <span className="words">{label}</span> },
        {
          key: 'used',
          head: 'In the fit',
          cell: ({ used }) => <span className={`badge ${used ? 'accent' : ''}`}>{used ? 'used' : 'left out'}</span>,
        },
        { key: 'seals', head: 'Seals', numeric: true, cell: ({ seals }) => formatNumber(seals) },
        {
          key: 'share',
          head: 'Share',
          numeric: true,
          cell: ({ seals }) => formatShare(total > 0 ? seals / total : null),
        },
        { key: 'examples', head: 'For example', cell: ({ examples }) => <Examples ids={examples} /> },
      ]}
    />
  );
}

const EXAMPLES_SHOWN = 3;

const Examples = ({ ids }: { ids: readonly string[] }) => (
  <span className="examples">
    {ids.slice(0, EXAMPLES_SHOWN).map((id) => (
      <Link key={id} href={`/joints?segment=${encodeURIComponent(id)}`}>
        {id}
      </Link>
    ))}
  </span>
);
