import { useMemo, useState } from 'react';
import type { Interval } from '../../../../server/schemas/common.ts';
import type { Program } from '../../../../server/schemas/program.ts';
import { type MoneyOf, scaledMedian, scaledRange, scaleFor } from '../../../state/budget-scale.ts';
import { formatNumber, formatShare } from '../../../state/format.ts';
import { type TableDepth, type TableLine, tableCsv, tableLines } from '../../../state/program-table.ts';
import { SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { Switch } from '../../shared/controls.tsx';
import { CsvDownload } from '../../shared/csv-download.tsx';
import { useUnits } from '../../shared/preferences.ts';

const DEPTHS: readonly { value: TableDepth; label: string }[] = [
  { value: 'network', label: 'Whole network' },
  { value: 'district', label: 'By district' },
  { value: 'class', label: 'By district and class' },
];

/** The budget table: year by district by class, with length, cost, failed share and backlog. */
export function ProgramTable({ program, moneyOf }: { program: Program; moneyOf: MoneyOf }) {
  const [depth, setDepth] = useState<TableDepth>('network');
  const units = useUnits();
  const lines = useMemo(() => tableLines(program, depth, moneyOf), [program, depth, moneyOf]);
  const scales = useMemo(() => {
    const most = (of: (line: TableLine) => number) => Math.max(0, ...lines.map(of));
    const scale = (measure: 'cost' | 'lengthM', largest: number) =>
      scaleFor({ measure, largest, units, currency: program.currency });
    return {
      length: scale(
        'lengthM',
        most(({ lengthM }) => lengthM),
      ),
      cost: scale(
        'cost',
        most(({ cost }) => cost.upper),
      ),
      backlog: scale(
        'lengthM',
        most(({ backlogM }) => backlogM?.upper ?? 0),
      ),
    };
  }, [lines, units, program.currency]);
  const shares = (share: Interval | null) => share && `${formatShare(share.lower)} to ${formatShare(share.upper)}`;
  const caption = `Budget table; cost in ${moneyOf === 'each-year' ? 'money of each year' : `money of ${program.priceYear}`}, with mobilisation; failed share and backlog at the end of the year`;
  return (
    <>
      <div className="card-head">
        <h2 id="table-title">Budget table</h2>
        <div className="row">
          <Switch label="Lines of the table" value={depth} choices={DEPTHS} onChange={setDepth} />
          <CsvDownload name={`program-table-${depth}`} rows={() => tableCsv(program, depth)} />
        </div>
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1) */}
      <section className="table-scroll program-table" aria-label={caption} tabIndex={0}>
        <table className="table sticky-first">
          <caption>
            <span className="caption-words">{caption}</span>
          </caption>
          <thead>
            <tr>
              <th scope="col">Year</th>
              <th scope="col" className="number">
                Length, {scales.length.unit}
              </th>
              <th scope="col" className="number">
                Cost, {scales.cost.unit}
              </th>
              <th scope="col" className="number">
                80 % interval
              </th>
              <th scope="col" className="number">
                Failed share
              </th>
              <th scope="col" className="number">
                80 % interval
              </th>
              <th scope="col" className="number">
                Backlog, {scales.backlog.unit}
              </th>
              <th scope="col" className="number">
                80 % interval
              </th>
            </tr>
          </thead>
          <tbody>
            {lines.map((line) => (
              <tr key={`${line.year} ${line.district} ${line.sealantClass}`} className={`depth-${line.depth}`}>
                <th scope="row">{nameOf(line)}</th>
                <td className="number">{formatNumber(line.lengthM * scales.length.factor, scales.length.decimals)}</td>
                <td className="number">{scaledMedian(line.cost, scales.cost)}</td>
                <td className="number soft">{scaledRange(line.cost, scales.cost)}</td>
                <td className="number">{line.failedShare && formatShare(line.failedShare.median)}</td>
                <td className="number soft">{shares(line.failedShare)}</td>
                <td className="number">{line.backlogM && scaledMedian(line.backlogM, scales.backlog)}</td>
                <td className="number soft">{line.backlogM && scaledRange(line.backlogM, scales.backlog)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p className="small soft">
        The middle figure of a cost is at listed prices, so that lines add up; intervals of districts and classes do not
        add up to those of the network.
      </p>
    </>
  );
}

const nameOf = ({ year, district, sealantClass }: TableLine) => (
  <>
    {district === null ? year : <span className="unseen">{year}, </span>}
    {sealantClass === null ? (
      district
    ) : (
      <>
        <span className="unseen">{district}, </span>
        {SEALANT_CLASS_LABELS[sealantClass]}
      </>
    )}
  </>
);
