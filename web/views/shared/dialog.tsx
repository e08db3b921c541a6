import { type ReactNode, useEffect, useId, useRef } from 'react';

/**
 * A modal dialog; the browser keeps the focus inside and gives it back. Escape closes it.
 * `sheet` slides it to the lower edge, for narrow screens.
 */
export function Dialog({
  title,
  open,
  onClose,
  children,
  foot,
  sheet = false,
}: {
  title: string;
  open: boolean;
  onClose: () => void;
  children: ReactNode;
  foot?: ReactNode;
  sheet?: boolean;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  useEffect(() => {
    const element = dialog.current;
    if (open && element && !element.open) element.showModal();
    if (!open && element?.open) element.close();
  }, [open]);
  return (
    <dialog ref={dialog} className={`dialog${sheet ? ' sheet' : ''}`} aria-labelledby={titleId} onClose={onClose}>
      {open && (
        <>
          <div className="dialog-head">
            <h2 id={titleId}>{title}</h2>
            <button type="button" className="button quiet" onClick={onClose}>
              Close
            </button>
          </div>
          <div className="dialog-body">{children}</div>
          {foot && <div className="dialog-foot">{foot}</div>}
        </>
      )}
    </dialog>
  );
}
