import type { ImportRun } from '../../../../server/import/load-files.ts';
import { unitCostKey } from '../../../../server/import/records/unit-cost-row.ts';
import type { ClimateDay, ClimateStation } from '../../../../server/schemas/climate.ts';
import type { Facility } from '../../../../server/schemas/facility.ts';
import type { Seal } from '../../../../server/schemas/seal.ts';
import type { UnitCost } from '../../../../server/schemas/unit-cost.ts';
import type { RecordKind } from '../../../../server/schemas/words.ts';
import type { LoadTransaction, RecordBatch, WriteCounts } from '../../../../server/store/store.ts';

type Tables = Map<RecordKind, Map<string, unknown>>;

const keyOf = (kind: RecordKind, row: unknown): string => {
  if (kind === 'climate') return `${(row as ClimateDay).stationId} ${(row as ClimateDay).day}`;
  if (kind === 'unit-costs') return unitCostKey(row as UnitCost);
  return (row as { id: string }).id;
};

/** The part of a store that an import needs, in memory: upserts by key, nothing visible before commit. */
export class MemoryStore {
  tables: Tables = new Map();
  rollbacks = 0;
  batches: RecordKind[] = [];

  rows<T>(kind: RecordKind): T[] {
    return [...(this.tables.get(kind)?.values() ?? [])] as T[];
  }

  run(today = '2026-07-01'): ImportRun {
    return { store: this.asStore(), today, progress: () => undefined, cancelled: () => false };
  }

  asStore(): ImportRun['store'] {
    const keys = (kind: RecordKind) => new Set(this.tables.get(kind)?.keys() ?? []);
    return {
      readKeys: async (kind) => keys(kind),
      readFacilityDistricts: async () => new Map(this.rows<Facility>('facilities').map((f) => [f.id, f.district])),
      readSealDates: async () => groupBySegment(this.rows<Seal>('seals')),
      listStations: async () => this.rows<ClimateStation>('stations'),
      networkBounds: async () => null,
      beginLoad: async () => this.begin(),
    };
  }

  private begin(): LoadTransaction {
    const draft: Tables = new Map([...this.tables].map(([kind, rows]) => [kind, new Map(rows)]));
    return {
      write: (batch) => {
        this.batches.push(batch.kind);
        return upsert(draft, batch);
      },
      commit: () => {
        this.tables = draft;
      },
      rollback: () => {
        this.rollbacks++;
      },
    };
  }
}

function upsert(tables: Tables, { kind, rows }: RecordBatch): WriteCounts {
  const table = tables.get(kind) ?? new Map<string, unknown>();
  tables.set(kind, table);
  const counts = { inserted: 0, updated: 0, unchanged: 0 };
  for (const row of rows) {
    const key = keyOf(kind, row);
    const before = table.get(key);
    if (before === undefined) counts.inserted++;
    else if (JSON.stringify(before) === JSON.stringify(row)) counts.unchanged++;
    else counts.updated++;
    table.set(key, row);
  }
  return counts;
}

function groupBySegment(seals: readonly Seal[]): Map<string, Seal[]> {
  const groups = new Map<string, Seal[]>();
  for (const seal of seals) groups.set(seal.segmentId, [...(groups.get(seal.segmentId) ?? []), seal]);
  return groups;
}
