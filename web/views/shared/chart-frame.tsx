import { type ReactNode, useId } from 'react';

/** A picture with its title, a sentence that says what it shows, and the same numbers as a table right below it. */
export function ChartFrame({
  title,
  note,
  picture,
  table,
  level = 3,
}: {
  title: string;
  note?: ReactNode;
  picture: ReactNode;
  table: ReactNode;
  level?: 2 | 3 | 4;
}) {
  const id = useId();
  const Heading = `h${level}` as const;
  return (
    <section className="chart-frame" aria-labelledby={id}>
      <Heading id={id}>{title}</Heading>
      {note && <p className="small soft">{note}</p>}
      {picture}
      <details>
        <summary>{title}: the numbers</summary>
        {table}
      </details>
    </section>
  );
}
