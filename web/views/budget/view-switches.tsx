import type { Budget } from '../../../server/schemas/budget.ts';
import type { BudgetView } from '../../state/budget-scale.ts';
import { Switch } from '../shared/controls.tsx';

interface Props {
  budget: Budget;
  view: BudgetView;
  onChange: (view: BudgetView) => void;
}

/** What the chart and the table show. */
export const ViewSwitches = ({ budget, view, onChange }: Props) => (
  <div className="row">
    <Switch
      label="Grouped"
      value={view.grouping}
      choices={[
        { value: 'total', label: 'Total' },
        { value: 'district', label: 'By district' },
        { value: 'class', label: 'By class' },
        { value: 'both', label: 'By both' },
      ]}
      onChange={(grouping) => onChange({ ...view, grouping })}
    />
    <Switch
      label="Figures"
      value={view.measure}
      choices={[
        { value: 'cost', label: 'Cost' },
        { value: 'lengthM', label: 'Length' },
      ]}
      onChange={(measure) => onChange({ ...view, measure })}
    />
    {view.measure === 'cost' && (
      <Switch
        label="Money"
        value={view.moneyOf}
        choices={[
          { value: 'each-year', label: 'Money of each year' },
          { value: 'price-year', label: `Money of ${budget.priceYear}` },
        ]}
        onChange={(moneyOf) => onChange({ ...view, moneyOf })}
      />
    )}
  </div>
);
