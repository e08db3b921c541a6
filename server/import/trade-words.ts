import {
  AGGREGATES,
  BASE_TYPES,
  DIRECTIONS,
  FACILITY_KINDS,
  INSPECTION_METHODS,
  JOINT_TYPES,
  PREPARATIONS,
  REMOVAL_REASONS,
  SEALANT_CLASSES,
  SEVERITIES,
} from '../schemas/words.ts';

/** A list of fixed words, and what else people write for them. */
export interface WordTable {
  readonly words: readonly string[];
  /** Normalised spelling -> word. */ readonly bySpelling: ReadonlyMap<string, string>;
  /** Words too vague to choose by, with what to ask. */ readonly vague: ReadonlyMap<string, string>;
}

/** Spelling without case, spaces and marks: "Hot-pour" and "HOT POUR" are one. */
export const normaliseWord = (text: string): string => text.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');

function wordTable(
  words: readonly string[],
  synonyms: Record<string, readonly string[]> = {},
  vague: Record<string, string> = {},
): WordTable {
  const bySpelling = new Map(words.map((word) => [normaliseWord(word), word]));
  for (const [word, spellings] of Object.entries(synonyms)) {
    for (const spelling of spellings) bySpelling.set(normaliseWord(spelling), word);
  }
  return { words, bySpelling, vague: new Map(Object.entries(vague).map(([k, v]) => [normaliseWord(k), v])) };
}

const SILICONE_HINT = 'Say whether the silicone is self-levelling or non-sag.';

/** Types of hot-applied sealant are those of ASTM D6690, types of silicone those of ASTM D5893; the rest: common practice. */
export const SEALANT_CLASS_WORDS = wordTable(
  SEALANT_CLASSES,
  {
    'silicone-self-levelling': [
      'silicone SL',
      'SL silicone',
      'self-levelling silicone',
      'self-leveling silicone',
      'silicone self-leveling',
      'silicone (self-levelling)',
      'ASTM D5893 Type SL',
      'D5893 Type SL',
      'D5893 SL',
    ],
    'silicone-non-sag': [
      'silicone NS',
      'NS silicone',
      'non-sag silicone',
      'nonsag silicone',
      'silicone nonsag',
      'tooled silicone',
      'ASTM D5893 Type NS',
      'D5893 Type NS',
      'D5893 NS',
    ],
    'hot-applied': [
      'hot pour',
      'hot poured',
      'hot-poured sealant',
      'hot-pour rubber',
      'hot applied sealant',
      'rubberised asphalt',
      'rubberized asphalt',
      'asphalt rubber',
      'ASTM D6690',
      'D6690',
    ],
    ...d6690Synonyms(),
    polysulfide: ['polysulphide', 'two-part polysulfide', 'two-component polysulfide', 'polysulfide two-part'],
    'polyurethane-two-part': [
      'polyurethane',
      'two-part polyurethane',
      'two-component polyurethane',
      '2-part polyurethane',
      'polyurethane 2-part',
      'urethane',
    ],
    'preformed-compression': [
      'preformed',
      'preformed seal',
      'preformed compression seal',
      'compression seal',
      'neoprene',
      'neoprene seal',
      'neoprene compression seal',
      'preformed neoprene',
      'ASTM D2628',
      'D2628',
    ],
    unknown: ['not known', 'not recorded', 'unk'],
  },
  { silicone: SILICONE_HINT, 'ASTM D5893': SILICONE_HINT, D5893: SILICONE_HINT },
);

function d6690Synonyms(): Record<string, string[]> {
  const types = { 1: 'I', 2: 'II', 3: 'III', 4: 'IV' };
  return Object.fromEntries(
    Object.entries(types).map(([digit, roman]) => [
      `hot-applied-type-${digit}`,
      [digit, roman].flatMap((type) => [
        `ASTM D6690 Type ${type}`,
        `D6690 Type ${type}`,
        `D6690-${type}`,
        `type ${type}`,
        `hot-applied type ${type}`,
        `hot-pour type ${type}`,
        `hot-poured type ${type}`,
      ]),
    ]),
  );
}

export const JOINT_TYPE_WORDS = wordTable(
  JOINT_TYPES,
  {
    'transverse-contraction': ['contraction', 'contraction joint', 'transverse contraction joint', 'transverse'],
    'transverse-construction': ['construction', 'construction joint', 'transverse construction joint', 'header joint'],
    'transverse-expansion': ['expansion', 'expansion joint', 'transverse expansion joint'],
    longitudinal: ['longitudinal joint', 'lane joint', 'longitudinal construction', 'longitudinal contraction'],
    isolation: ['isolation joint'],
    'asphalt-shoulder': ['shoulder', 'shoulder joint', 'concrete-to-asphalt shoulder', 'lane-shoulder'],
    'bridge-deck': ['bridge', 'bridge joint', 'deck joint', 'bridge deck joint'],
  },
  { joint: 'Say which type of joint it is.' },
);
/** Joint types of a unit cost, which may hold for all of them. */
export const PRICED_JOINT_WORDS: WordTable = {
  words: [...JOINT_TYPE_WORDS.words, 'any'],
  bySpelling: new Map([...JOINT_TYPE_WORDS.bySpelling, ['any', 'any'], ['all', 'any']]),
  vague: JOINT_TYPE_WORDS.vague,
};
export const FACILITY_KIND_WORDS = wordTable(FACILITY_KINDS, {
  highway: ['road', 'freeway', 'motorway', 'interstate', 'street'],
  apron: ['ramp', 'parking apron'],
});
export const BASE_TYPE_WORDS = wordTable(BASE_TYPES, {
  granular: ['aggregate', 'aggregate base', 'unbound', 'crushed stone', 'granular base'],
  stabilised: ['stabilized', 'treated', 'cement-treated', 'cement treated base', 'asphalt-treated', 'lean concrete'],
});
export const DIRECTION_WORDS = wordTable(DIRECTIONS, {
  northbound: ['NB', 'N', 'north'],
  southbound: ['SB', 'S', 'south'],
  eastbound: ['EB', 'E', 'east'],
  westbound: ['WB', 'W', 'west'],
  increasing: ['inc', 'ascending', 'with chainage', 'increasing chainage', 'with measure', 'increasing measure'],
  decreasing: ['dec', 'descending', 'against chainage', 'decreasing chainage', 'against measure', 'decreasing measure'],
  clockwise: ['cw', 'inner loop'],
  anticlockwise: ['acw', 'ccw', 'counterclockwise', 'outer loop'],
  both: ['both directions', 'two-way', 'bidirectional', 'B'],
});
export const AGGREGATE_WORDS = wordTable(AGGREGATES, { limestone: ['dolomite'], quartz: ['quartzite'] });
export const PREPARATION_WORDS = wordTable(PREPARATIONS, {
  'sawn-and-blasted': ['sawn and sandblasted', 'sawed and blasted', 'resawn and blasted', 'saw and blast'],
  blasted: ['sandblasted', 'sand blasted', 'abrasive blasted', 'water blasted'],
  sawn: ['sawed', 'resawn', 'resawed', 'saw cut'],
  'air-blown': ['air', 'compressed air', 'blown', 'air blown only'],
});
export const REMOVAL_REASON_WORDS = wordTable(REMOVAL_REASONS, {
  failed: ['failure', 'seal failed'],
  preventive: ['preventative', 'preventive reseal', 'planned'],
  'pavement-work': ['paving', 'slab replacement', 'rehabilitation', 'reconstruction', 'overlay'],
});
export const INSPECTION_METHOD_WORDS = wordTable(INSPECTION_METHODS, {
  'joint-length': ['share of joint length', 'LTPP', 'length'],
  'sample-unit': ['ASTM D5340', 'ASTM D6433', 'D5340', 'D6433'],
});
export const SEVERITY_WORDS = wordTable(SEVERITIES, { low: ['L'], moderate: ['M', 'medium'], high: ['H'] });
