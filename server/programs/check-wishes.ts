import { FUEL_SCOPE, isExcludedByFuel } from '../forecasting/fuel-scope.ts';
import type { SealantClass } from '../schemas/words.ts';
import type { SegmentFacts } from '../store/store.ts';
import { type HeldBackFrom, heldBackFrom } from './held-back.ts';
import { repeated, type ScenarioFault, type ScenarioGround, yearFault } from './scenario-fault.ts';

/** Faults of what is asked of single segments: commitments, what is held back, choices made by hand. */
export const checkWishes = (ground: ScenarioGround): ScenarioFault[] => {
  const barred = heldBackFrom(ground.inputs.heldBack);
  return [
    ...checkHeldBack(ground),
    ...checkCommitted(ground, barred),
    ...checkChosen(ground, barred),
    ...checkOneClass(ground.inputs),
  ];
};

function checkCommitted(ground: ScenarioGround, barred: HeldBackFrom): ScenarioFault[] {
  const { committed } = ground.inputs;
  const faults = committed.flatMap(({ segmentId, year, sealantClass }, i) => [
    ...segmentFaults(`committed.${i}`, { segmentId, sealantClass }, ground),
    ...yearFault(`committed.${i}.year`, year, ground),
    ...barredFault(`committed.${i}.year`, { segmentId, year }, ground, barred),
  ]);
  const doubles = repeated(committed, ({ segmentId, year }) => `${segmentId} in ${year}`, {
    field: (i) => `committed.${i}`,
    expected: 'a segment and year',
  });
  return [...faults, ...doubles];
}

function checkChosen(ground: ScenarioGround, barred: HeldBackFrom): ScenarioFault[] {
  const { chosen, committed } = ground.inputs;
  const promised = new Map(committed.map(({ segmentId, year }) => [segmentId, year]));
  const faults = chosen.flatMap(({ segmentId, year, sealantClass }, i) => {
    const field = `chosen.${i}`;
    const promisedYear = promised.get(segmentId);
    const broken = promisedYear !== undefined && (year === null || year > promisedYear);
    return [
      ...segmentFaults(field, { segmentId, sealantClass }, ground),
      ...(year === null ? [] : yearFault(`${field}.year`, year, ground)),
      ...(year === null ? [] : barredFault(`${field}.year`, { segmentId, year }, ground, barred)),
      ...(broken
        ? [
            {
              field: `${field}.year`,
              found: String(year),
              expected: `${promisedYear} or earlier: the segment is committed in ${promisedYear}`,
            },
          ]
        : []),
    ];
  });
  const doubles = repeated(chosen, ({ segmentId }) => segmentId, {
    field: (i) => `chosen.${i}.segmentId`,
    expected: 'a segment',
  });
  return [...faults, ...doubles];
}

function segmentFaults(
  field: string,
  { segmentId, sealantClass }: { segmentId: string; sealantClass: SealantClass | null },
  ground: ScenarioGround,
): ScenarioFault[] {
  const segment = ground.segments.get(segmentId);
  if (!segment) return [{ field: `${field}.segmentId`, found: segmentId, expected: 'the id of a segment on record' }];
  if (!segment.resealable)
    return [
      {
        field: `${field}.segmentId`,
        found: segmentId,
        expected: 'a segment with a seal in place, neither unsealed by policy nor left alone on purpose',
      },
    ];
  return sealantClass === null ? [] : classFaults(`${field}.sealantClass`, sealantClass, segment, ground);
}

function classFaults(
  field: string,
  sealantClass: SealantClass,
  segment: SegmentFacts,
  { costPerM, allows }: ScenarioGround,
): ScenarioFault[] {
  if (segment.fuelExposure && isExcludedByFuel(sealantClass))
    return [
      {
        field,
        found: sealantClass,
        expected: `a class for fuel spills, which ${segment.id} is exposed to: ${FUEL_SCOPE}`,
      },
    ];
  if (Number.isNaN(costPerM(sealantClass, segment.jointType)))
    return [
      {
        field,
        found: sealantClass,
        expected: `a class with a unit cost for ${segment.jointType} joints; add one under prices`,
      },
    ];
  if (allows(sealantClass, segment)) return [];
  return [{ field, found: sealantClass, expected: 'one of the allowed classes, or null for the cheapest of them' }];
}

/** All settled work of one segment is done with one class, or left to the program. */
function checkOneClass({ committed, chosen }: ScenarioGround['inputs']): ScenarioFault[] {
  const classOf = new Map<string, SealantClass>();
  const faults: ScenarioFault[] = [];
  for (const [list, entries] of Object.entries({ committed, chosen }))
    for (const [i, { segmentId, sealantClass }] of entries.entries()) {
      const known = classOf.get(segmentId);
      if (sealantClass === null) continue;
      if (known === undefined) classOf.set(segmentId, sealantClass);
      else if (known !== sealantClass)
        faults.push({
          field: `${list}.${i}.sealantClass`,
          found: sealantClass,
          expected: `${known}, as in the other settled work of ${segmentId}, or null`,
        });
    }
  return faults;
}

function barredFault(
  field: string,
  { segmentId, year }: { segmentId: string; year: number },
  { segments }: ScenarioGround,
  barred: HeldBackFrom,
): ScenarioFault[] {
  const from = barred(segmentId, segments.get(segmentId)?.facilityId ?? '');
  if (from === null || year < from) return [];
  return [{ field, found: String(year), expected: `before ${from}, from when ${segmentId} is held back` }];
}

function checkHeldBack({ inputs: { heldBack }, segments, facilities }: ScenarioGround): ScenarioFault[] {
  const faults = heldBack.flatMap(({ segmentId, facilityId }, i) => {
    const field = `heldBack.${i}`;
    if ((segmentId === null) === (facilityId === null))
      return [
        {
          field,
          found: segmentId === null ? 'neither segmentId nor facilityId' : 'both segmentId and facilityId',
          expected: 'one of the two',
        },
      ];
    if (segmentId !== null && !segments.has(segmentId))
      return [{ field: `${field}.segmentId`, found: segmentId, expected: 'the id of a segment on record' }];
    if (facilityId !== null && !facilities.has(facilityId))
      return [{ field: `${field}.facilityId`, found: facilityId, expected: 'the id of a facility on record' }];
    return [];
  });
  const keyOf = ({ segmentId, facilityId }: (typeof heldBack)[number]) => segmentId ?? `facility ${facilityId}`;
  return [
    ...faults,
    ...repeated(heldBack, keyOf, { field: (i) => `heldBack.${i}`, expected: 'a segment or facility' }),
  ];
}
