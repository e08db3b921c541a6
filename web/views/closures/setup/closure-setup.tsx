import type { ClosurePlan } from '../../../../server/schemas/closures.ts';

/** The rules of the operation that a plan keeps. */
export function ClosureSetup({ plan }: { plan: ClosurePlan }) {
  return (
    <section className="card stack">
      <h2>Set up</h2>
      <p>
        {plan.name} schedules the work of {plan.rules.year}.
      </p>
    </section>
  );
}
