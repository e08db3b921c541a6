import { isExcludedByFuel } from '../forecasting/fuel-scope.ts';
import { PriceList } from '../forecasting/price-list.ts';
import type { ScenarioDefaults, ScenarioInputs } from '../schemas/scenario.ts';
import type { Settings } from '../schemas/settings.ts';
import { JOINT_TYPES, type JointType, SEALANT_CLASSES, type SealantClass } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';

/** What to reseal with is never unknown, nor of a type that was not written down. */
const NOT_CHOSEN: ReadonlySet<SealantClass> = new Set<SealantClass>(['unknown', 'hot-applied']);

/**
 * Getting crew and machines to a facility, and controlling traffic there for a season's work: orders of magnitude,
 * `common practice`, no published source.
 */
const MOBILISATION: ScenarioInputs['mobilisation'] = [
  { facilityKind: 'highway', mobilisationCost: 3000, trafficControlCost: 5000 },
  { facilityKind: 'bridge', mobilisationCost: 2000, trafficControlCost: 3500 },
  { facilityKind: 'runway', mobilisationCost: 6000, trafficControlCost: 4000 },
  { facilityKind: 'taxiway', mobilisationCost: 4000, trafficControlCost: 2500 },
  { facilityKind: 'apron', mobilisationCost: 3000, trafficControlCost: 1500 },
];

/** Where a new scenario starts: what is on record where there is a record, else a stated default. */
export async function scenarioDefaults(store: Store): Promise<ScenarioDefaults> {
  const settings = await store.readSettings();
  const prices = new PriceList(await store.readUnitCosts());
  const inputs: ScenarioInputs = {
    horizonYears: 20,
    question: 'least-cost',
    budgets: { moneyOf: 'each-year', everyYear: null, byYear: [], districts: [] },
    targets: [],
    allowedClasses: allowedClasses(prices),
    prices: [],
    priceUncertainty: 0.1,
    mobilisation: structuredClone(MOBILISATION),
    escalationPerYear: null,
    discountRatePerYear: null,
    openJointCost: [],
    committed: [],
    heldBack: [],
    crewCapacityMPerYear: null,
    minimumJobM: 0,
    fixedCycleYears: 10,
    chosen: [],
  };
  return { inputs, reasons: reasonsOf(settings, prices, inputs) };
}

function allowedClasses(prices: PriceList): ScenarioInputs['allowedClasses'] {
  const priced = (sealantClass: SealantClass): JointType[] =>
    JOINT_TYPES.filter((jointType) => !Number.isNaN(prices.costPerM(sealantClass, jointType)));
  return SEALANT_CLASSES.filter((each) => !NOT_CHOSEN.has(each) && priced(each).length > 0).map((sealantClass) => {
    const jointTypes = priced(sealantClass);
    return {
      sealantClass,
      jointTypes: jointTypes.length === JOINT_TYPES.length ? [] : jointTypes,
      whereFuelIsSpilled: !isExcludedByFuel(sealantClass),
    };
  });
}

function reasonsOf(settings: Settings, { priceYear }: PriceList, inputs: ScenarioInputs): ScenarioDefaults['reasons'] {
  const percent = (share: number) => `${+(share * 100).toFixed(2)} %`;
  const { currency } = settings;
  const moneyOf = priceYear === null ? 'of the planning year, since no price on record is dated' : `of ${priceYear}`;
  return [
    {
      field: 'horizonYears',
      sentence: 'Twenty years: about two lives of a seal, so that what follows a reseal counts.',
    },
    {
      field: 'question',
      sentence:
        'Least cost: each segment is resealed where that costs less than waiting, open joints counted. The other question, least spending, needs a target.',
    },
    {
      field: 'budgets',
      sentence:
        'No limit, so that the first program shows what the network is worth spending on. Then set what there is.',
    },
    { field: 'targets', sentence: 'None: no agency-wide share of failed joints is published to start from.' },
    {
      field: 'allowedClasses',
      sentence: `${inputs.allowedClasses.length === 0 ? 'No class has a unit cost yet, so none can be chosen' : 'Every class with a unit cost whose type is known'}. Where fuel is spilled, silicone (ASTM D5893) and hot-applied sealant (ASTM D6690) are left out, as their scopes say.`,
    },
    { field: 'prices', sentence: `The unit costs on record, money ${moneyOf}.` },
    {
      field: 'priceUncertainty',
      sentence:
        '10 %: an assumption. Bids of one year move together, so the spread is shared by all work of a class and year.',
    },
    {
      field: 'mobilisation',
      sentence: `Common practice, orders of magnitude in US dollars: no published source. Put your own contracts' figures here, in ${currency}; they decide how much is worth doing in one visit.`,
    },
    {
      field: 'escalationPerYear',
      sentence: `As in the settings: ${percent(settings.escalationPerYear)} a year. It turns constant money into money of each year, so a budget in money of each year buys less work as prices rise.`,
    },
    {
      field: 'discountRatePerYear',
      sentence: `As in the settings: a real ${percent(settings.discountRatePerYear)} a year. FHWA-SA-98-079 works with 4 %; agencies used 3 to 5 %, on average 4.1 %, in a survey of 2007 (FHWA Eastern Federal Lands, 2011), and federal real rates averaged 3.3 % in the ten years to 2008.`,
    },
    {
      field: 'openJointCost',
      sentence: `As in the settings: ${currency} ${settings.openJointCostPerMYear} a metre and year, times the consequence weight of the segment. An assumption to be replaced by your own: what water and stones in the joint cost in slab repair, spread over the years that it stays open.`,
    },
    { field: 'committed', sentence: 'None on record.' },
    { field: 'heldBack', sentence: 'None on record. Name segments or facilities whose pavement is to be replaced.' },
    { field: 'crewCapacityMPerYear', sentence: 'No limit on record.' },
    {
      field: 'minimumJobM',
      sentence:
        'None. Mobilisation already makes neighbours go together where that pays; set a length where contractors do not bid for less.',
    },
    {
      field: 'fixedCycleYears',
      sentence:
        'Of a baseline only: 10 years, the cycle that an agency adopted after a field study of its joints (Biel and Lee, J. Transp. Eng. 123(5), 1997).',
    },
    { field: 'chosen', sentence: 'None yet: the program decides.' },
  ];
}
