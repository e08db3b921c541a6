import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import type { ClosureClash, ClosurePlan } from '../../../server/schemas/closures.ts';
import { createClosurePlan, deleteClosurePlan, editClosurePlan } from '../../api/closures.ts';
import { freeName } from '../../state/free-name.ts';
import { DeleteDialog } from '../shared/delete-dialog.tsx';
import { NameDialog } from '../shared/name-dialog.tsx';
import { ClashNote } from './clash-note.tsx';
import type { ClosureViewChange } from './use-closure-view.ts';
import { usePlanNews, useReadAgain } from './use-plan-news.ts';

interface Props {
  readonly plan: ClosurePlan;
  readonly plans: readonly ClosurePlan[];
  readonly setView: ClosureViewChange;
}

/** What can be done with a plan as a whole. */
export function PlanActions({ plan, plans, setView }: Props) {
  const [asked, ask] = useState<'copy' | 'rename' | 'delete' | null>(null);
  const close = () => ask(null);
  return (
    <div className="row program-actions">
      <button type="button" className="button" onClick={() => ask('copy')}>
        Duplicate
      </button>
      <button type="button" className="button" onClick={() => ask('rename')}>
        Rename, note
      </button>
      <button type="button" className="button danger" onClick={() => ask('delete')}>
        Delete
      </button>
      {asked === 'copy' && <CopyDialog {...{ plan, plans, setView }} onClose={close} />}
      {asked === 'rename' && <RenameDialog plan={plan} onClose={close} />}
      {asked === 'delete' && <DeletePlan {...{ plan, setView }} onClose={close} />}
    </div>
  );
}

function CopyDialog({ plan, plans, setView, onClose }: Props & { onClose: () => void }) {
  const tell = usePlanNews();
  const copy = useMutation({
    mutationFn: (name: string) => createClosurePlan({ name, note: plan.note, rules: plan.rules }),
    onSuccess: (made) => {
      tell(made);
      onClose();
      setView({ planId: made.id, part: 'setup' });
    },
  });
  return (
    <NameDialog
      title={`Duplicate ${plan.name}`}
      submit="Duplicate"
      name={freeName(
        plan.name,
        plans.map(({ name }) => name),
      )}
      note={null}
      busy={copy.isPending}
      error={copy.error}
      onClose={onClose}
      onSubmit={({ name }) => copy.mutate(name)}
    >
      <p>The copy has the same rules and no schedule yet. This one stays as it is.</p>
    </NameDialog>
  );
}

function RenameDialog({ plan, onClose }: { plan: ClosurePlan; onClose: () => void }) {
  const tell = usePlanNews();
  const readAgain = useReadAgain();
  const [clash, setClash] = useState<ClosureClash | null>(null);
  const rename = useMutation({
    mutationFn: (named: { name: string; note: string }) =>
      editClosurePlan({ id: plan.id, revision: clash?.revision ?? plan.revision }, named),
    onSuccess: (edited) => {
      if (edited.kind === 'clash') {
        setClash(edited.clash);
        void readAgain(plan.id);
        return;
      }
      tell(edited.value);
      onClose();
    },
  });
  return (
    <NameDialog
      title="Name and note"
      submit={clash ? 'Save all the same' : 'Save'}
      name={plan.name}
      note={plan.note}
      busy={rename.isPending}
      error={rename.error}
      onClose={onClose}
      onSubmit={(named) => rename.mutate(named)}
    >
      {clash && <ClashNote clash={clash} kept="What you typed is still here." />}
    </NameDialog>
  );
}

function DeletePlan({ plan, setView, onClose }: Omit<Props, 'plans'> & { onClose: () => void }) {
  const tell = usePlanNews();
  const readAgain = useReadAgain();
  const [clash, setClash] = useState<ClosureClash | null>(null);
  const remove = useMutation({
    mutationFn: () => deleteClosurePlan({ id: plan.id, revision: clash?.revision ?? plan.revision }),
    onSuccess: (edited) => {
      if (edited.kind === 'clash') {
        setClash(edited.clash);
        void readAgain(plan.id);
        return;
      }
      tell({ deletedId: plan.id });
      onClose();
      setView({ planId: null, part: 'plans' }, { replace: true });
    },
  });
  return (
    <DeleteDialog
      name={plan.name}
      busy={remove.isPending}
      error={remove.error}
      onClose={onClose}
      onDelete={() => remove.mutate()}
    >
      <p>
        Its rules and its schedule are deleted, and calendars that subscribe to it find nothing any more. Programs and
        records are not touched.
      </p>
      {clash && <ClashNote clash={clash} kept="Nothing has been deleted." />}
    </DeleteDialog>
  );
}
