import type { Budget } from '../../../server/schemas/budget.ts';

/** What the figures rest on. */
export function Assumptions({ budget }: { budget: Budget }) {
  if (budget.assumptions.length === 0) return null;
  return (
    <section className="card" aria-labelledby="assumed-title">
      <h2 id="assumed-title">What is assumed</h2>
      <ul className="assumptions">
        {budget.assumptions.map((assumption) => (
          <li key={assumption}>{assumption}</li>
        ))}
      </ul>
    </section>
  );
}
