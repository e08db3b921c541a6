import type { Scenario } from '../../../../server/schemas/scenario.ts';
export const Compare = ({ scenario, scenarios }: { scenario: Scenario; scenarios: readonly Scenario[] }) => (
  <p>
    {scenario.name} {scenarios.length}
  </p>
);
