import type { SegmentCard } from '../../../server/schemas/card.ts';
import { formatLength, formatTemperature, formatWidth, NOT_KNOWN } from '../../state/format.ts';
import {
  AGGREGATE_LABELS,
  BASE_TYPE_LABELS,
  DIRECTION_LABELS,
  FACILITY_KIND_LABELS,
  JOINT_TYPE_LABELS,
  labelOf,
  SEALANT_CLASS_LABELS,
} from '../../state/words.ts';
import { useUnits } from '../shared/preferences.ts';
import { ForecastDrivers } from './drivers.tsx';
import { HistoryChart } from './history-chart.tsx';
import { Movement } from './movement.tsx';
import { Recommendation } from './recommendation.tsx';
import { InspectionRecords, SealRecords } from './records.tsx';
import { sourceText } from './source-text.ts';
import { SurvivalChart } from './survival-chart.tsx';
import { WhatIfForm } from './what-if.tsx';

/** All that is known and forecast of one segment, from the answer down to the rows it rests on. */
export function SegmentCardBody({ card }: { card: SegmentCard }) {
  const { segment, facility } = card;
  return (
    <div className="segment-body">
      <p>
        {facility.name} <span className="soft">({FACILITY_KIND_LABELS[facility.kind].toLowerCase()})</span>
        <br />
        <span className="small soft">
          {segment.district} · {JOINT_TYPE_LABELS[segment.jointType]}
        </span>
      </p>
      <Recommendation card={card} />
      {card.curve && <SurvivalChart curve={card.curve} dueYear={card.forecast?.dueYear ?? null} />}
      {card.forecast && <ForecastDrivers segmentId={segment.id} planningYear={card.forecast.planningYear} />}
      <HistoryChart card={card} />
      <Movement movement={card.movement} />
      {card.forecast && <WhatIfForm key={segment.id} card={card} />}
      <SealRecords seals={card.seals} />
      <InspectionRecords inspections={card.inspections} />
      <ObservationNotes card={card} />
      <SegmentFacts card={card} />
      {card.modelVersion !== null && (
        <p className="small soft">
          Forecast of model version {card.modelVersion}. For planning, not a safety assessment.
        </p>
      )}
    </div>
  );
}

function ObservationNotes({ card: { seals, observationNotes } }: { card: SegmentCard }) {
  if (observationNotes.length === 0) return null;
  return (
    <section>
      <h3>How the records were read</h3>
      <ul className="small notes">
        {seals.map(({ id, sealantClass, installedFrom }, i) => (
          <li key={id}>
            {SEALANT_CLASS_LABELS[sealantClass]}, {installedFrom.slice(0, 4)}: {observationNotes[i]}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** "Northbound, lanes 1 to 2": what closes for work on it. */
function directionAndLanes({ direction, firstLane, lastLane }: SegmentCard['segment']): string {
  const lanes =
    firstLane === null
      ? []
      : [lastLane === null || lastLane === firstLane ? `lane ${firstLane}` : `lanes ${firstLane} to ${lastLane}`];
  return [...(direction === null ? ['Direction not recorded'] : [DIRECTION_LABELS[direction]]), ...lanes].join(', ');
}

function SegmentFacts({ card: { segment } }: { card: SegmentCard }) {
  const units = useUnits();
  const measure = (lengthM: number | null) => formatLength(lengthM, units);
  const width =
    segment.widthMm === null
      ? NOT_KNOWN
      : `${formatWidth(segment.widthMm, units)}${segment.widthAtC === null ? '' : ` at ${formatTemperature(segment.widthAtC, units)}`}`;
  const facts: readonly (readonly [string, string])[] = [
    ...(segment.direction === null && segment.firstLane === null
      ? []
      : [['Direction and lanes', directionAndLanes(segment)] as const]),
    ['Along the route', `${measure(segment.beginM)} to ${measure(segment.endM)}`],
    ['Sealed joint', measure(segment.sealedLengthM)],
    ['Number of joints', segment.jointCount === null ? NOT_KNOWN : String(segment.jointCount)],
    ['Joint width', width],
    ['Reservoir depth', formatWidth(segment.reservoirDepthMm, units)],
    ['Slab length', segment.slabLengthM === null ? NOT_KNOWN : measure(segment.slabLengthM)],
    ['Slab thickness', formatWidth(segment.slabThicknessMm, units)],
    ['Base', labelOf(BASE_TYPE_LABELS, segment.baseType)],
    ['Coarse aggregate', labelOf(AGGREGATE_LABELS, segment.coarseAggregate)],
    ['Exposed to fuel', segment.fuelExposure ? 'Yes' : 'No'],
    ['Weight of consequence', String(segment.consequenceWeight)],
    ['Record', sourceText(segment)],
  ];
  return (
    <section>
      <h3>Segment</h3>
      <dl className="facts">
        {facts.map(([name, value]) => (
          <div key={name} className="fact">
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
