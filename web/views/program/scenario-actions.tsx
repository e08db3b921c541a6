import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { describeError } from '../../api/request.ts';
import { copyScenario, createScenario, deleteScenario, editScenario } from '../../api/scenarios.ts';
import { freeName } from '../../state/free-name.ts';
import { DeleteDialog } from '../shared/delete-dialog.tsx';
import { NameDialog } from '../shared/name-dialog.tsx';
import type { ProgramViewChange } from './use-program-view.ts';
import { useScenarioChange, useScenarioNews } from './use-scenarios.ts';

interface Props {
  readonly scenario: Scenario;
  readonly scenarios: readonly Scenario[];
  readonly setView: ProgramViewChange;
}
type Asked = 'copy' | 'rename' | 'lock' | 'delete' | null;

/** What can be done with a scenario as a whole. */
export function ScenarioActions({ scenario, scenarios, setView }: Props) {
  const [asked, ask] = useState<Asked>(null);
  const names = scenarios.map(({ name }) => name);
  const close = () => ask(null);
  const edit = useScenarioChange((change: Parameters<typeof editScenario>[1]) => editScenario(scenario, change));
  const copy = useScenarioChange((name: string) => copyScenario(scenario.id, name));
  const { locked } = scenario;
  const open = (next: Asked) => () => {
    edit.reset();
    copy.reset();
    ask(next);
  };
  return (
    <div className="row program-actions">
      <button type="button" className="button" onClick={open('copy')}>
        Duplicate
      </button>
      <button type="button" className="button" disabled={locked} onClick={open('rename')}>
        Rename, note
      </button>
      {locked ? (
        <button
          type="button"
          className="button"
          disabled={edit.isPending}
          onClick={() => edit.mutate({ locked: false })}
        >
          Unlock
        </button>
      ) : (
        <button type="button" className="button" onClick={open('lock')}>
          Lock
        </button>
      )}
      <button type="button" className="button danger" disabled={locked} onClick={open('delete')}>
        Delete
      </button>
      {asked === null && edit.isError && <p className="field-error">{describeError(edit.error)}</p>}
      {asked === 'copy' && (
        <NameDialog
          title={`Duplicate ${scenario.name}`}
          submit="Duplicate"
          name={freeName(scenario.name, names)}
          note={null}
          busy={copy.isPending}
          error={copy.error}
          onClose={close}
          onSubmit={({ name }) =>
            copy.mutate(name, {
              onSuccess: (made) => {
                close();
                setView({ scenarioId: made.id, part: 'setup' });
              },
            })
          }
        >
          <p>The copy has the same inputs and can be changed. This one stays as it is.</p>
        </NameDialog>
      )}
      {asked === 'rename' && (
        <NameDialog
          title="Name and note"
          submit="Save"
          name={scenario.name}
          note={scenario.note}
          busy={edit.isPending}
          error={edit.error}
          onClose={close}
          onSubmit={(named) => edit.mutate(named, { onSuccess: close })}
        />
      )}
      {asked === 'lock' && (
        <NameDialog
          title={`Lock ${scenario.name}`}
          submit="Lock"
          name={scenario.name}
          note={scenario.note}
          busy={edit.isPending}
          error={edit.error}
          onClose={close}
          onSubmit={(named) => edit.mutate({ ...named, locked: true }, { onSuccess: close })}
        >
          <p>
            A locked scenario is kept as it is, with its program, until it is unlocked. Name it by what was decided, for
            example “Adopted 2027–2031”.
          </p>
        </NameDialog>
      )}
      {asked === 'delete' && <DeleteScenario {...{ scenario, scenarios, setView }} onClose={close} />}
    </div>
  );
}

function DeleteScenario({ scenario, setView, onClose }: Props & { onClose: () => void }) {
  const tell = useScenarioNews();
  const remove = useMutation({
    mutationFn: () => deleteScenario(scenario),
    onSuccess: () => {
      tell({ deletedId: scenario.id });
      onClose();
      setView({ scenarioId: null, part: 'scenarios' }, { replace: true });
    },
  });
  return (
    <DeleteDialog
      name={scenario.name}
      busy={remove.isPending}
      error={remove.error}
      onClose={onClose}
      onDelete={() => remove.mutate()}
    >
      <p>Its inputs and its program are deleted. Records, forecasts and other scenarios are not touched.</p>
    </DeleteDialog>
  );
}

/** Makes a scenario from the defaults and opens it. */
export function NewScenario({
  scenarios,
  setView,
  primary = false,
}: Pick<Props, 'scenarios' | 'setView'> & { primary?: boolean }) {
  const [open, setOpen] = useState(false);
  const create = useScenarioChange((named: { name: string; note: string }) => createScenario(named));
  const names = scenarios.map(({ name }) => name);
  const first = 'Base budget';
  return (
    <>
      <button type="button" className={`button${primary ? ' primary' : ''}`} onClick={() => setOpen(true)}>
        {scenarios.length === 0 ? 'Make the first scenario' : 'New scenario'}
      </button>
      {open && (
        <NameDialog
          title="New scenario"
          submit="Make it"
          name={names.includes(first) ? freeName(first, names) : first}
          note=""
          busy={create.isPending}
          error={create.error}
          onClose={() => setOpen(false)}
          onSubmit={(named) =>
            create.mutate(named, {
              onSuccess: (made) => {
                setOpen(false);
                setView({ scenarioId: made.id, part: 'setup' });
              },
            })
          }
        >
          <p>It starts from defaults made from your settings, unit costs and network. Each is shown with its reason.</p>
        </NameDialog>
      )}
    </>
  );
}
