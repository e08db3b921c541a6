import type { ClosureRules, WindowRule } from '../../../../server/schemas/closure-rules.ts';
import { withoutRowAt } from '../../../state/closure-rules-draft.ts';
import { WEEKDAY_LABELS } from '../../../state/closure-rules-words.ts';
import { Reasons, withRow } from '../../shared/form-fields.tsx';
import type { RulesProps } from './rules-props.ts';
import { WindowCard } from './window-card.tsx';

const WEEK = Object.keys(WEEKDAY_LABELS) as WindowRule['weekdays'];

/** Kinds of windows that an operator thinks in. Shifts of day work start at seven: common practice. */
const STARTS: readonly {
  readonly words: string;
  readonly window: Omit<WindowRule, 'from' | 'to' | 'facilityIds' | 'facilityKinds'>;
}[] = [
  {
    words: 'Add nights',
    window: {
      name: 'Nights',
      weekdays: WEEK,
      startsAt: '23:00',
      lengthHours: 6,
      mostShiftHours: 10,
      shiftStartsAt: null,
    },
  },
  {
    words: 'Add weekends',
    window: {
      ...{ name: 'Weekends', weekdays: ['friday'], startsAt: '22:00', lengthHours: 55 },
      ...{ mostShiftHours: 10, shiftStartsAt: '07:00' },
    },
  },
  {
    words: 'Add whole days',
    window: {
      ...{ name: 'Whole days', weekdays: WEEK.slice(0, 5), startsAt: '06:00', lengthHours: 24 },
      ...{ mostShiftHours: 10, shiftStartsAt: '07:00' },
    },
  },
];

/** When each facility may close: any number of kinds of windows, each with its days, hours and season. */
export function WindowFields(props: RulesProps) {
  const { draft, put, set, defaults, problems } = props;
  const { windows, year } = draft.rules;
  const add = (window: (typeof STARTS)[number]['window']) => {
    const fresh = { ...window, facilityIds: [], facilityKinds: [], from: `${year}-01-01`, to: `${year}-12-31` };
    set({ windows: [...windows, { ...fresh, weekdays: [...window.weekdays] }] });
  };
  return (
    <>
      {windows.length === 0 && <p>No window yet: nothing can be closed. Add one.</p>}
      {windows.map((window, index) => (
        <WindowCard
          // biome-ignore lint/suspicious/noArrayIndexKey: windows have no key of their own, and names may be alike
          key={index}
          {...props}
          window={window}
          index={index}
          change={(part) => set({ windows: withRow(windows, index, part) })}
          remove={() => put(withoutRowAt(draft, 'windows', index))}
        />
      ))}
      {problems.windows && <p className="field-error">{problems.windows}</p>}
      <div className="row">
        {STARTS.map(({ words, window }) => (
          <button key={words} type="button" className="button" onClick={() => add(window)}>
            {words}
          </button>
        ))}
      </div>
      <Reasons defaults={defaults} fields={['windows']} />
    </>
  );
}

export type WindowChange = (part: Partial<ClosureRules['windows'][number]>) => void;
