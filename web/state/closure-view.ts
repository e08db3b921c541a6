/** The parts of the Closures screen, in the order of its tabs. */
export const CLOSURE_PARTS = [
  { value: 'plans', label: 'Plans' },
  { value: 'setup', label: 'Set up' },
  { value: 'schedule', label: 'Schedule' },
] as const;
export type ClosurePart = (typeof CLOSURE_PARTS)[number]['value'];

export interface ClosureView {
  readonly planId: string | null;
  readonly part: ClosurePart | null;
  /** The closure whose card is open, by its uid, which stays when it is moved. */ readonly closureUid: string | null;
  /** Day of the map, ISO; null: the first with a closure. */ readonly day: string | null;
  /** Facility that calendar and table are narrowed to; null: all. */ readonly facilityId: string | null;
}

const isPart = (text: string | null): text is ClosurePart => CLOSURE_PARTS.some(({ value }) => value === text);

export function readClosureView(params: URLSearchParams): ClosureView {
  const part = params.get('part');
  const day = params.get('day');
  return {
    planId: params.get('plan') || null,
    part: isPart(part) ? part : null,
    closureUid: params.get('closure') || null,
    day: day !== null && /^\d{4}-\d{2}-\d{2}$/.test(day) ? day : null,
    facilityId: params.get('facility') || null,
  };
}

/** The same address with these parts of the view changed; null leaves no trace. */
export function writeClosureView(params: URLSearchParams, change: Partial<ClosureView>): URLSearchParams {
  const next = new URLSearchParams(params);
  const set = (name: string, text: string | null) => (text === null ? next.delete(name) : next.set(name, text));
  if (change.planId !== undefined) {
    // Of another plan: its own closures and days.
    if (change.planId !== params.get('plan')) for (const name of ['closure', 'day', 'facility']) next.delete(name);
    set('plan', change.planId);
  }
  if (change.part !== undefined) set('part', change.part);
  if (change.closureUid !== undefined) set('closure', change.closureUid);
  if (change.day !== undefined) set('day', change.day);
  if (change.facilityId !== undefined) set('facility', change.facilityId);
  return next;
}
