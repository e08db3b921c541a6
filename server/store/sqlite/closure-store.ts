import type { ClosureStore } from '../closure-store.ts';
import * as plans from './closure-plans.ts';
import type { Connection } from './connection.ts';
import { findSegments, readDirections, readFacilityPlaces } from './histories.ts';

/** The closures of a store: reads on its connection, writes through its queue. */
export const closureStore = (
  connection: Connection,
  write: <T>(change: (connection: Connection) => T) => Promise<T>,
): ClosureStore => ({
  findSegments: async (ids) => findSegments(connection, ids),
  readFacilityPlaces: async () => readFacilityPlaces(connection),
  readDirections: async () => readDirections(connection),
  listClosurePlans: async () => plans.listClosurePlans(connection),
  findClosurePlan: async (id) => plans.findClosurePlan(connection, id),
  addClosurePlan: (plan) => write((own) => plans.addClosurePlan(own, plan)),
  changeClosurePlan: (id, revision, edit, changedAt) =>
    write((own) => plans.changeClosurePlan(own, id, { revision, edit, changedAt })),
  removeClosurePlan: (id, revision) => write((own) => plans.removeClosurePlan(own, id, revision)),
  readSchedule: async (planId) => plans.readSchedule(connection, planId),
  writeSchedule: (planId, revision, schedule, note) =>
    write((own) => plans.writeSchedule(own, planId, { revision, schedule, note })),
  writeClosures: (planId, revision, closures, note, head = null) =>
    write((own) => plans.writeClosures(own, planId, { revision, closures, note, head })),
});
