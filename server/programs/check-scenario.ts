import { PriceList } from '../forecasting/price-list.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import type { FacilityKind, JointType } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import { checkClasses } from './check-classes.ts';
import { checkLimits } from './check-limits.ts';
import { checkWishes } from './check-wishes.ts';
import { classChoice } from './class-choice.ts';
import type { ScenarioFault, ScenarioGround } from './scenario-fault.ts';

/** Everything in the inputs that the records, the prices or the other inputs speak against. */
export async function checkScenario(store: Store, inputs: ScenarioInputs, firstYear: number): Promise<ScenarioFault[]> {
  const ground = await groundOf(store, inputs, firstYear);
  return [...checkLimits(ground), ...checkClasses(ground), ...checkWishes(ground)];
}

async function groundOf(store: Store, inputs: ScenarioInputs, firstYear: number): Promise<ScenarioGround> {
  const { committed, heldBack, chosen } = inputs;
  const named = [...committed, ...heldBack, ...chosen].flatMap(({ segmentId }) => segmentId ?? []);
  const { facets } = await store.summarise({});
  const words = (name: keyof typeof facets) => facets[name].map(({ value }) => value);
  const facilities = await store.listFacilities();
  return {
    inputs,
    firstYear,
    lastYear: firstYear + inputs.horizonYears - 1,
    districts: new Set(words('district')),
    facilities: new Set(facilities.map(({ id }) => id)),
    facilityKinds: new Set(words('facilityKind') as FacilityKind[]),
    jointTypes: words('jointType') as JointType[],
    segments: await store.readSegmentFacts([...new Set(named)]),
    ...classChoice(inputs, new PriceList(await store.readUnitCosts())),
  };
}

const FAULTS_TOLD = 50;

/** Faults in words, the first of many. @param part what the inputs are in, e.g. `body.inputs` */
export function tellFaults(
  faults: readonly ScenarioFault[],
  part: string,
): { detail: string; errors: { field: string; found: string; expected: string }[] } {
  const errors = faults.slice(0, FAULTS_TOLD).map((fault) => ({ ...fault, field: `${part}.${fault.field}` }));
  const [first] = errors;
  const more = faults.length - 1;
  const rest = more > 0 ? ` And ${more} more.` : '';
  return { detail: `${first.field} is ${first.found}; expected ${first.expected}.${rest}`, errors };
}
