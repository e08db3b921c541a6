import { useMemo } from 'react';
import type { LevelEffect, OddGrouping, OddLevel } from '../../../server/schemas/evidence-odd.ts';
import { GROUPING_NOUNS, levelLink, levelsShown, ODD_LIST_LABELS } from '../../state/evidence-odd.ts';
import { formatRange, inPlainWords } from '../../state/evidence-words.ts';
import { formatCount, formatNumber, formatShare, NOT_KNOWN } from '../../state/format.ts';
import { EvidenceFigure, MarkKey } from '../evidence/figure.tsx';
import { intervalChart, intervalChartHeight } from '../evidence/interval-chart.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import { type Column, DataTable } from '../shared/data-table.tsx';
import { Readout } from '../shared/page.tsx';
import { OpenLinks } from './open-links.tsx';

const ROOM = 24;
const two = (value: number | null): string => formatNumber(value, 2);

/** Levels of one grouping: what stands out, then all of them. */
export function GroupingCard({ grouping }: { grouping: OddGrouping }) {
  const [one, many] = GROUPING_NOUNS[grouping.name];
  const id = `odd-${grouping.name}`;
  return (
    <section className="card stack odd-list" aria-labelledby={id}>
      <h2 id={id}>{ODD_LIST_LABELS[grouping.name]}</h2>
      <p className="verdict-sentence">{inPlainWords(grouping.sentence)}</p>
      <dl className="readouts">
        <Readout name="Judged" value={formatCount(grouping.judged, one, many)} />
        <Readout name="Beyond chance" value={formatNumber(grouping.odd.length)} />
        <Readout name="Not judged" value={formatNumber(grouping.thin)} more="too few failures expected" />
        <Readout name="Seals without one" value={formatNumber(grouping.unknownSeals)} more={`no ${one} on record`} />
        {grouping.sd !== null && (
          <Readout
            name={`Spread among ${many}`}
            value={two(grouping.sd)}
            more={`of log life; 80 % interval ${formatRange({ lower: grouping.sdLower, upper: grouping.sdUpper }, two)}`}
          />
        )}
      </dl>
      {grouping.odd.length > 0 ? (
        <OddLevels grouping={grouping} />
      ) : (
        <p>
          <strong>None is named:</strong> nothing here is beyond what chance does among so many {many}.
        </p>
      )}
      <LevelFigure grouping={grouping} />
    </section>
  );
}

function OddLevels({ grouping }: { grouping: OddGrouping }) {
  const [one] = GROUPING_NOUNS[grouping.name];
  return (
    <DataTable
      caption="Beyond chance"
      captionUnseen
      maxHeight="34rem"
      rows={grouping.odd}
      rowKey={({ level }) => level}
      columns={[
        {
          key: 'level',
          head: one.charAt(0).toUpperCase() + one.slice(1),
          cell: (level) => <LevelName level={level} />,
        },
        { key: 'direction', head: 'What', cell: ({ direction }) => <Direction direction={direction} /> },
        {
          key: 'ratio',
          head: 'Lasts … times as long (80 %)',
          numeric: true,
          cell: (level) => `${two(level.lifeRatio)} (${formatRange(lifeRange(level), two)})`,
        },
        { key: 'failed', head: 'Failed, expected', numeric: true, cell: (level) => failedAndExpected(level) },
        {
          key: 'observed',
          head: 'Found over expected (80 %)',
          numeric: true,
          cell: (level) =>
            `${two(level.observedToExpected)} (${formatRange({ lower: level.observedToExpectedLower, upper: level.observedToExpectedUpper }, two)})`,
        },
        {
          key: 'chance',
          head: 'Chance of such a count',
          numeric: true,
          cell: ({ countChance }) => formatShare(countChance),
        },
        { key: 'seals', head: 'Seals', numeric: true, cell: ({ seals }) => formatNumber(seals) },
        {
          key: 'open',
          head: 'Open',
          cell: (level) => (
            <OpenLinks what={level.label} link={levelLink(grouping.name, level)} segments={level.segments} />
          ),
        },
        {
          key: 'sentence',
          head: 'In words',
          cell: ({ sentence }) => <span className="words">{inPlainWords(sentence)}</span>,
        },
      ]}
    />
  );
}

const LevelName = ({ level }: { level: LevelEffect }) => (
  <>
    {level.label}
    {level.label !== level.level && <span className="level-key small">{level.level}</span>}
  </>
);

const Direction = ({ direction }: Pick<OddLevel, 'direction'>) => (
  <span className={`badge ${direction === 'fails early' ? 'fault' : 'accent'}`}>
    <span aria-hidden="true">{direction === 'fails early' ? '▼' : '▲'}</span> {direction}
  </span>
);

const lifeRange = ({ lifeRatioLower, lifeRatioUpper }: LevelEffect) => ({
  lower: lifeRatioLower,
  upper: lifeRatioUpper,
});

const failedAndExpected = ({ failures, expectedFailures }: LevelEffect): string =>
  `${formatNumber(failures)}, ${expectedFailures === null ? NOT_KNOWN : formatNumber(expectedFailures, 1)}`;

/** Shrunk life ratios with their intervals, the named ones by shape and colour, and every listed level as a table. */
function LevelFigure({ grouping }: { grouping: OddGrouping }) {
  const narrow = useNarrow();
  const [, many] = GROUPING_NOUNS[grouping.name];
  const shown = useMemo(() => levelsShown(grouping, ROOM), [grouping]);
  const picture = useMemo(() => {
    const lines = shown.map((level) => ({
      ...{ label: level.label, value: level.lifeRatio, lower: level.lifeRatioLower, upper: level.lifeRatioUpper },
      outside: level.flagged,
    }));
    const options = intervalChart({ lines, axis: 'Lasts … times as long', narrow, kind: 'ratio', reference: 1 });
    return { options, height: intervalChartHeight(lines) };
  }, [shown, narrow]);
  if (shown.length === 0) return null;
  return (
    <EvidenceFigure
      title={`Life by ${GROUPING_NOUNS[grouping.name][0]}`}
      name={`life-by-${grouping.name}`}
      note={
        <>
          Times as long as the average, sealant class, covariates and the other groupings accounted for. Estimates are
          drawn towards 1, the more so the less is on record.{' '}
          {grouping.levels.length > shown.length &&
            `The picture has the ${formatNumber(shown.length)} furthest from 1; the table has ${formatNumber(grouping.levels.length)} ${many}.`}
          <MarkKey
            marks={[
              ['estimate', 'life ratio with its 80 % interval'],
              ['outside', 'beyond chance'],
            ]}
          />
        </>
      }
      picture={{
        ...picture,
        label: shown.map(({ label, lifeRatio }) => `${label} ${two(lifeRatio)}`).join('; '),
      }}
      caption={`All listed ${many}`}
      tableBelow
      columns={columnsFor(grouping)}
      rows={grouping.levels}
      file={() => saved(grouping)}
    />
  );
}

const columnsFor = (grouping: OddGrouping): Column<LevelEffect>[] => {
  const named = new Set(grouping.odd.map(({ level }) => level));
  return [
    { key: 'level', head: 'Name', cell: (level) => <LevelName level={level} /> },
    {
      key: 'ratio',
      head: 'Times as long (80 %)',
      numeric: true,
      cell: (level) =>
        level.lifeRatio === null ? NOT_KNOWN : `${two(level.lifeRatio)} (${formatRange(lifeRange(level), two)})`,
    },
    { key: 'failed', head: 'Failed, expected', numeric: true, cell: failedAndExpected },
    { key: 'seals', head: 'Seals', numeric: true, cell: ({ seals }) => formatNumber(seals) },
    {
      key: 'words',
      head: 'In words',
      cell: ({ level, sentence }) => (
        <span className="words">
          {named.has(level) && <span className="badge fault">beyond chance</span>} {inPlainWords(sentence)}
        </span>
      ),
    },
  ];
};

const saved = ({ name, odd, levels }: OddGrouping) => {
  const named = new Set(odd.map(({ level }) => level));
  return [
    [
      ...['grouping', 'level', 'label', 'lifeRatio', 'lower10', 'upper90', 'seals', 'failures', 'expectedFailures'],
      ...['beyondChance', 'sentence'],
    ],
    ...levels.map((level) => [
      ...[name, level.level, level.label, level.lifeRatio, level.lifeRatioLower, level.lifeRatioUpper, level.seals],
      ...[level.failures, level.expectedFailures, String(named.has(level.level)), level.sentence],
    ]),
  ];
};
