import { type ReactNode, useEffect, useId, useLayoutEffect, useRef, useState } from 'react';
import { ChevronIcon } from './icons.tsx';

/** A button that opens one part of the filter below it. Escape or a click elsewhere closes it. */
export function FilterMenu({ label, tally, children }: { label: string; tally: number; children: ReactNode }) {
  const [open, setOpen] = useState(false);
  const [fromRight, setFromRight] = useState(false);
  const place = useRef<HTMLDivElement>(null);
  const button = useRef<HTMLButtonElement>(null);
  const id = useId();

  useEffect(() => {
    if (!open) return;
    const leave = (event: Event) => {
      if (!place.current?.contains(event.target as Node)) setOpen(false);
    };
    const onKey = (event: KeyboardEvent) => {
      if (event.key !== 'Escape') return;
      setOpen(false);
      button.current?.focus();
    };
    document.addEventListener('pointerdown', leave);
    document.addEventListener('focusin', leave);
    document.addEventListener('keydown', onKey);
    return () => {
      document.removeEventListener('pointerdown', leave);
      document.removeEventListener('focusin', leave);
      document.removeEventListener('keydown', onKey);
    };
  }, [open]);

  useLayoutEffect(() => {
    const box = place.current?.getBoundingClientRect();
    if (open && box) setFromRight(box.left + 352 > window.innerWidth);
  }, [open]);

  return (
    <div className="filter-menu" ref={place}>
      <button
        ref={button}
        type="button"
        className="button"
        aria-expanded={open}
        aria-controls={id}
        onClick={() => setOpen(!open)}
      >
        {label}
        {tally > 0 && (
          <span className="tally">
            {tally}
            <span className="unseen"> chosen</span>
          </span>
        )}
        <ChevronIcon />
      </button>
      {open && (
        <fieldset id={id} className={`filter-panel${fromRight ? ' from-right' : ''}`}>
          <legend className="unseen">{label}</legend>
          {children}
        </fieldset>
      )}
    </div>
  );
}
