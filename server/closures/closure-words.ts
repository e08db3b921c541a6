import type { ClosureRules } from '../schemas/closure-rules.ts';

/** Of every schedule, calendar and packet: what the reader must know before anybody goes to work (design: caution). */
export const CLOSURE_CAUTIONS: readonly string[] = [
  "The operator's own procedure and the authority's notice govern. A closure here is a plan: it closes nothing until the operator and the authority have agreed to it and published it.",
  'Sawing and blasting concrete raises respirable silica dust: wet cutting or extraction, and the respirators that local rules ask for.',
  'Work beside traffic or aircraft kills. Traffic control, or airside control with escort and radio, is in place before the first vehicle enters.',
  'Read the safety data sheet of each product. Hot-applied sealant burns; cleaners and primers may catch fire. Eye, hearing, hand and foot protection throughout.',
  'Before opening: nothing is left on the pavement, the surface is swept, and every seal in it will not pick up.',
  'Local codes, the manufacturer’s directions and licensed engineers govern. Chances are forecasts for planning, not a safety assessment.',
];

/** What is checked at each operation. Limits are common practice unless a source is named. */
export const OPERATION_CHECKS: Readonly<Record<string, string>> = {
  'remove-old-seal': 'Look: no old sealant on either face; the slab edges are whole.',
  'saw-faces': 'Measure every 30 m: width and depth of the slot are those of the list; both faces are fresh concrete.',
  wash: 'Look: no slurry in the slot, none on the pavement where it would dry.',
  dry: 'Dry check: concrete is white, a paper towel pressed on the face stays dry.',
  'abrasive-blast': 'Look: both faces are clean and dull, not polished.',
  'blow-out':
    'Face dust check: rub a finger (or black cloth) along the face; it stays clean. Else blast and blow again.',
  'place-rod':
    'Rod depth check every 30 m with a gauge: recess and bead as in the list; the rod is dry, whole and a quarter wider than the slot.',
  seal: 'Recess check: at least 10 mm (3/8 in) below the surface, no bubbles, no gaps; sealed on the day the face was prepared.',
  inspect: 'Mark and mend every fault before the crew leaves. Write down lot numbers, temperatures and metres done.',
  open: 'Tack check: a finger lifts clean. Sweep. Walk the length with the operator’s inspector.',
};

/** What the schedule takes for granted. */
export function closureAssumptions(rules: ClosureRules, planningDate: string): string[] {
  const {
    setUpMinutes,
    clearAwayMinutes,
    dryingHours,
    washAfterSawing,
    openJoints,
    noticeDays,
    paceAllowance = 0,
  } = rules;
  return [
    `Planned from ${planningDate}; notice of ${noticeDays} ${noticeDays === 1 ? 'day' : 'days'}. All times are local to ${rules.timeZone}.`,
    ...(paceAllowance > 0
      ? [
          `Shifts are planned with ${Math.round(100 * paceAllowance)} % of their working time left free for slow nights.`,
        ]
      : []),
    `Each closure takes ${setUpMinutes} min to set up and ${clearAwayMinutes} min to clear away.`,
    washAfterSawing
      ? `Sawn joints are washed and dry for ${dryingHours} h before they are sealed; ${openJoints === 'same-closure' ? 'a joint opened is sealed before traffic returns' : 'they may stay open to traffic meanwhile'}.`
      : 'Joints are sawn dry or vacuumed at once: no washing, no wait until they are dry. A prepared face is sealed the same day.',
    'Rates are those of the plan; defaults were read for crack work on asphalt with the same machines, or are common practice without a source. Put your own crews’ rates in their place.',
    'The pace of a crew in a shift is drawn around the planned one: the bracket of the operations that govern holds eight shifts in ten, and half of the variance stays with the crew all through the plan (common practice). What a closure leaves is done in time that later closures and reserve windows of the facility have to spare.',
    'A daily weather record has no pavement temperature: air stands in for it.',
    'Where a width is missing on record, litres and rod sizes are not told: measure first.',
  ];
}
