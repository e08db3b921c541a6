import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import type { Load } from '../../../server/schemas/load.ts';
import { openLoad } from '../../state/file-choices.ts';
import { Page } from '../shared/page.tsx';
import { Answered } from '../shared/states.tsx';
import { Agency, InventedNote } from './agency.tsx';
import './data.css';
import { loadsQuery } from './data-queries.ts';
import { FileHelp } from './file-help.tsx';
import { FilePicker, UploadList } from './file-picker.tsx';
import { LoadPanel } from './load-panel.tsx';
import { PastLoads } from './past-loads.tsx';
import { StoredCounts } from './stored-counts.tsx';
import { takeCreated, useSending } from './uploads.ts';

/** What is stored, and the way in for the agency's files. */
export function DataScreen() {
  const loads = useQuery(loadsQuery);
  const [current, show] = useCurrentLoad(loads.data ?? []);
  return (
    <Page
      title="Data"
      lede="What is stored, and how to bring in your agency’s files. You see what was understood before anything is kept; a load is kept whole or not at all, and the same file twice changes nothing."
    >
      <InventedNote />
      <StoredCounts />
      <section className="card stack" aria-labelledby="load-title">
        <h2 id="load-title">Load files</h2>
        <UploadList />
        <Answered query={loads} what="the loads">
          {() => (current ? <LoadPanel key={current.id} load={current} onClose={() => show(null)} /> : <FilePicker />)}
        </Answered>
      </section>
      <FileHelp />
      {loads.data && <PastLoads loads={loads.data.filter(({ id }) => id !== current?.id)} />}
      <Agency />
    </Page>
  );
}

/** The load on screen: the one just made, else the newest that waits, which a reload of the page finds again. */
function useCurrentLoad(loads: readonly Load[]): [Load | null, (id: string | null) => void] {
  const client = useQueryClient();
  const { created } = useSending();
  const [id, setId] = useState<string | null>(null);
  useEffect(() => {
    if (!created) return;
    client.setQueryData<Load[]>(['loads'], (known = []) => [created, ...known.filter((l) => l.id !== created.id)]);
    void client.invalidateQueries({ queryKey: ['jobs'] });
    setId(created.id);
    takeCreated();
  }, [client, created]);
  const current = loads.find((load) => load.id === id) ?? openLoad(loads);
  // Once found it stays on screen, so that its result can be read when it has ended.
  useEffect(() => {
    if (current) setId(current.id);
  }, [current]);
  return [current, setId];
}
