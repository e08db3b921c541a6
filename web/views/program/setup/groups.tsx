import type { ComponentType } from 'react';
import { BudgetFields } from './budget-fields.tsx';
import { ClassFields } from './class-fields.tsx';
import { CrewFields } from './crew-fields.tsx';
import { DecidedFields } from './decided-fields.tsx';
import type { GroupProps } from './group-props.ts';
import { KindFields } from './kind-fields.tsx';
import { PriceFields } from './price-fields.tsx';
import { QuestionFields } from './question-fields.tsx';
import { TargetFields } from './target-fields.tsx';

interface Group {
  readonly id: string;
  readonly title: string;
  /** First parts of the places of its fields. */ readonly places: readonly string[];
  readonly Fields: ComponentType<GroupProps>;
}

/** The groups of the form, in the order in which a manager thinks. */
export const GROUPS: readonly Group[] = [
  { id: 'question', title: 'Question and years', places: ['horizonYears', 'question'], Fields: QuestionFields },
  { id: 'budgets', title: 'Budgets', places: ['budgets', 'districts'], Fields: BudgetFields },
  { id: 'targets', title: 'Targets', places: ['targets'], Fields: TargetFields },
  { id: 'classes', title: 'Sealant that may be used', places: ['allowedClasses'], Fields: ClassFields },
  {
    id: 'prices',
    title: 'Prices and rates',
    places: ['prices', 'priceUncertainty', 'escalationPerYear', 'discountRatePerYear'],
    Fields: PriceFields,
  },
  { id: 'kinds', title: 'Mobilisation and open joints', places: ['kinds'], Fields: KindFields },
  {
    id: 'crews',
    title: 'Crews and jobs',
    places: ['crewCapacityMPerYear', 'minimumJobM', 'fixedCycleYears'],
    Fields: CrewFields,
  },
  { id: 'decided', title: 'Already decided', places: ['committed', 'heldBack', 'chosen'], Fields: DecidedFields },
];

export const groupOfPlace = (place: string): string | undefined =>
  GROUPS.find(({ places }) => places.includes(place.split('.')[0]))?.id;
