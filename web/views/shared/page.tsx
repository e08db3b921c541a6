import { type ReactNode, useEffect } from 'react';

/** Frame of a reading screen: its one h1, a sentence on what it is for, and its actions. */
export function Page({
  title,
  lede,
  actions,
  children,
}: {
  title: string;
  lede?: ReactNode;
  actions?: ReactNode;
  children: ReactNode;
}) {
  usePageTitle(title);
  return (
    <div className="page">
      <header className="page-head">
        <h1>{title}</h1>
        {actions && <div className="actions">{actions}</div>}
        {lede && <p className="lede">{lede}</p>}
      </header>
      {children}
    </div>
  );
}

export function usePageTitle(title: string): void {
  useEffect(() => {
    document.title = `${title} – Kerfcast`;
  }, [title]);
}

/** A named figure. `more` says what it means or how sure it is; `beside` says so on the same line where there is room. */
export function Readout({
  name,
  value,
  more,
  beside,
}: {
  name: string;
  value: ReactNode;
  more?: ReactNode;
  beside?: ReactNode;
}) {
  return (
    <div className="readout">
      <dt>{name}</dt>
      <dd>
        {value}
        {beside && <span className="more beside">{beside}</span>}
        {more && <div className="more">{more}</div>}
      </dd>
    </div>
  );
}
