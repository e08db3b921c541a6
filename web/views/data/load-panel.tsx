import { useMutation, useQueryClient } from '@tanstack/react-query';
import type { Load } from '../../../server/schemas/load.ts';
import { changeLoad, commitLoad, deleteLoad } from '../../api/loads.ts';
import { describeError } from '../../api/request.ts';
import { isActive } from '../../state/jobs.ts';
import { Banner, Loading } from '../shared/states.tsx';
import { JobLine } from './job-line.tsx';
import { LoadPreview } from './load-preview.tsx';
import { LoadResult } from './load-result.tsx';
import { useJobs } from './use-jobs.ts';

/** One load from preview to result. */
export function LoadPanel({ load, onClose }: { load: Load; onClose: () => void }) {
  const actions = useLoadActions(load.id, onClose);
  const job = useJobs().find(({ id }) => id === load.jobId);
  const failed = actions.again.error ?? actions.commit.error ?? actions.putAside.error;
  return (
    <div className="stack">
      {failed && <Banner kind="fault">{describeError(failed)}</Banner>}
      {(load.state === 'previewing' || load.state === 'loading') &&
        (job && isActive(job) ? <JobLine job={job} /> : <Loading what="the files" />)}
      {load.state === 'ready' && (
        <LoadPreview
          key={JSON.stringify(load.choices)}
          load={load}
          onReadAgain={actions.again.mutate}
          onCommit={() => actions.commit.mutate()}
          onPutAside={() => actions.putAside.mutate()}
          busy={actions.again.isPending || actions.commit.isPending || actions.putAside.isPending}
        />
      )}
      {load.state === 'done' && <LoadResult load={load} onClose={onClose} />}
      {(load.state === 'failed' || load.state === 'cancelled') && (
        <>
          <Banner kind={load.state === 'failed' ? 'fault' : 'note'}>
            <strong>{load.state === 'failed' ? 'The load failed.' : 'The load was cancelled.'}</strong>
            <span>{load.error ?? 'Nothing of it was kept.'}</span>
          </Banner>
          <div className="row">
            <button type="button" className="button primary" onClick={onClose}>
              Load other files
            </button>
          </div>
        </>
      )}
    </div>
  );
}

function useLoadActions(id: string, onClose: () => void) {
  const client = useQueryClient();
  const show = (load: Load) => {
    client.setQueryData<Load[]>(['loads'], (loads = []) => loads.map((known) => (known.id === load.id ? load : known)));
    void client.invalidateQueries({ queryKey: ['jobs'] });
  };
  return {
    again: useMutation({ mutationFn: (choices: Load['choices']) => changeLoad(id, choices), onSuccess: show }),
    commit: useMutation({ mutationFn: () => commitLoad(id), onSuccess: show }),
    putAside: useMutation({
      mutationFn: () => deleteLoad(id),
      onSuccess: async () => {
        await client.invalidateQueries({ queryKey: ['loads'] });
        onClose();
      },
    }),
  };
}
