import type { ComponentType } from 'react';
import { CrewFields } from './crew-fields.tsx';
import { DateFields } from './date-fields.tsx';
import { FacilityFields } from './facility-fields.tsx';
import { OrderFields } from './order-fields.tsx';
import { PartFields } from './part-fields.tsx';
import type { RulesProps } from './rules-props.ts';
import { TimeFields } from './time-fields.tsx';
import { TogetherFields } from './together-fields.tsx';
import { WeatherFields } from './weather-fields.tsx';
import { WindowFields } from './window-fields.tsx';

interface RuleGroup {
  readonly id: string;
  readonly title: string;
  /** First parts of the places of its fields. */ readonly places: readonly string[];
  readonly Fields: ComponentType<RulesProps>;
}

/** The groups of the form: first the operation, then the work. */
export const RULE_GROUPS: readonly RuleGroup[] = [
  { id: 'windows', title: 'When each may close', places: ['windows'], Fields: WindowFields },
  { id: 'together', title: 'Never closed together', places: ['exclusions', 'safetyAreas'], Fields: TogetherFields },
  { id: 'parts', title: 'Directions and lanes', places: ['parts'], Fields: PartFields },
  {
    id: 'dates',
    title: 'Barred days and notice',
    places: ['barred', 'noticeDays', 'earliestOn', 'latestOn'],
    Fields: DateFields,
  },
  {
    id: 'facilities',
    title: 'Facilities and clock',
    places: ['facilityIds', 'timeZone', 'scenarioId', 'year'],
    Fields: FacilityFields,
  },
  { id: 'crews', title: 'Crews and their equipment', places: ['crews', 'crewsAtOnce'], Fields: CrewFields },
  {
    id: 'times',
    title: 'Time in each closure',
    places: [
      'setUpMinutes',
      'clearAwayMinutes',
      'paceAllowance',
      'wastageFactor',
      'washAfterSawing',
      'dryingHours',
      'openJoints',
      'openingMinutes',
    ],
    Fields: TimeFields,
  },
  {
    id: 'weather',
    title: 'Weather and reserve',
    places: ['gateProfile', 'leastChance', 'closuresPerReserve'],
    Fields: WeatherFields,
  },
  { id: 'order', title: 'Operations and rates', places: ['rates'], Fields: OrderFields },
];

export const ruleGroupOf = (place: string): string | undefined =>
  RULE_GROUPS.find(({ places }) => places.includes(place.split('.')[0]))?.id;
