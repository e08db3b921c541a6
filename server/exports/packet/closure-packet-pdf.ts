import { setImmediate } from 'node:timers/promises';
import { weatherGate } from '../../../analytics/closures/weather-gates.ts';
import { closedName, halvesIn, shortLanes } from '../../closures/closing-unit.ts';
import { CLOSURE_CAUTIONS, OPERATION_CHECKS } from '../../closures/closure-words.ts';
import { gateWords } from '../../closures/gate-words.ts';
import { spokenTime } from '../../closures/local-time.ts';
import { sealantWords, unitWords } from '../../closures/quantity-words.ts';
import type { Closure, Schedule } from '../../schemas/closures.ts';
import type { Settings } from '../../schemas/settings.ts';
import type { Store } from '../../store/store.ts';
import { FAINT, ReportPages } from '../report/report-pages.ts';
import { drawTable } from '../report/report-table.ts';
import type { Units } from '../units.ts';
import { drawPacketMap, linesOf, type PacketLine } from './packet-map.ts';
import { reservoirs } from './packet-reservoirs.ts';

/** Work packets of some closures, each on pages of its own. The same schedule gives the same bytes. */
export async function closurePacketPdf(
  store: Store,
  schedule: Schedule,
  { closures, units }: { closures: readonly Closure[]; units: Units },
): Promise<Buffer> {
  const settings = await store.readSettings();
  const title = closures.length === 1 ? `Closure of ${closedName(closures[0])}` : `Closures of ${schedule.planName}`;
  const pages = new ReportPages({ title, units, madeOn: schedule.madeAt.slice(0, 10) });
  const writer = new PacketWriter(pages, schedule, settings, units);
  const network = new FacilityLines(store);
  for (const [i, closure] of closures.entries()) {
    if (i > 0) pages.newPage();
    writer.write(closure, await network.of(closure));
    await setImmediate(); // others are served between two packets
  }
  if (closures.length === 0) pages.paragraph('The schedule has no closures.');
  return pages.finished(
    `The operator's own procedure and the authority's notice govern · ${schedule.planName}, revision ${schedule.planRevision} · ${settings.agencyName}`,
  );
}

/** Joints of facilities, read once for the closures of each that follow one another. */
class FacilityLines {
  readonly #store: Store;
  #facilityId: string | null = null;
  #joints: { readonly id: string; readonly lines: PacketLine['lines'] }[] = [];

  constructor(store: Store) {
    this.#store = store;
  }

  /** Lines of the facility, those of the closure numbered in order of work. */
  async of({ facilityId, works }: Closure): Promise<PacketLine[]> {
    const numberOf = new Map<string, number>();
    for (const { segmentId } of works) if (!numberOf.has(segmentId)) numberOf.set(segmentId, numberOf.size + 1);
    const found: PacketLine[] = [];
    for (const { segment, geometry } of await this.#store.closures.findSegments([...numberOf.keys()]))
      found.push({ lines: linesOf(geometry), number: numberOf.get(segment.id) ?? null });
    for (const { id, lines } of await this.#jointsOf(facilityId))
      if (!numberOf.has(id)) found.push({ lines, number: null });
    return found.sort((a, b) => (a.number ?? 0) - (b.number ?? 0));
  }

  async #jointsOf(facilityId: string) {
    if (this.#facilityId === facilityId) return this.#joints;
    this.#facilityId = facilityId;
    this.#joints = [];
    // A filter is a list with commas, so a facility with a comma in its key is drawn without its other joints.
    if (!facilityId.includes(','))
      for await (const batch of this.#store.exportSegments({ facility: facilityId }, true))
        for (const { id, geometry } of batch) if (geometry) this.#joints.push({ id, lines: linesOf(geometry) });
    return this.#joints;
  }
}

class PacketWriter {
  readonly #pages: ReportPages;
  readonly #schedule: Schedule;
  readonly #settings: Settings;
  readonly #units: Units;

  constructor(pages: ReportPages, schedule: Schedule, settings: Settings, units: Units) {
    this.#pages = pages;
    this.#schedule = schedule;
    this.#settings = settings;
    this.#units = units;
  }

  write(closure: Closure, lines: readonly PacketLine[]): void {
    this.#front(closure);
    drawPacketMap(this.#pages, lines, this.#units);
    if (lines.some(({ number }) => number !== null))
      this.#pages.paragraph(
        'Thick and numbered as in the list: segments of this closure, whole even where only a part is done. Grey: other joints of the facility. Straight lines between the points on record; not for setting out.',
        { size: 7.5, colour: FAINT },
      );
    this.#segments(closure);
    this.#quantities(closure);
    this.#order(closure);
    this.#weather(closure);
    this.#pages.heading('Before anybody goes to work', 100);
    for (const caution of CLOSURE_CAUTIONS) this.#pages.bullet(caution);
  }

  #front(closure: Closure): void {
    const { agencyName, agencyInvented } = this.#settings;
    const { timeZone } = this.#schedule;
    const pages = this.#pages;
    pages.line(agencyName, { size: 10, colour: FAINT });
    if (agencyInvented)
      pages.line('The agency, its pavements and its records are invented.', { colour: FAINT, size: 8 });
    pages.space(6);
    pages.line(closedName(closure), { font: 'Helvetica-Bold', size: closure.part ? 15 : 18 });
    pages.line('Joint resealing', { size: 11 });
    if (closure.state !== 'planned') pages.line(`This closure is marked ${closure.state}.`, { font: 'Helvetica-Bold' });
    pages.space(4);
    if (closure.part) pages.pair('What closes', closesWords(closure.part));
    pages.pair('Closed', `${spokenTime(closure.startsAt)} to ${spokenTime(closure.endsAt)} (${timeZone})`);
    pages.pair('Open to traffic', `${spokenTime(closure.opensAt)}, if all goes as planned; not before the tack check`);
    const { reserve } = closure;
    pages.pair('Reserve', reserve ? `${spokenTime(reserve.startsAt)} to ${spokenTime(reserve.endsAt)}` : 'none');
    pages.pair('Chance to finish', chanceWords(closure));
    if (closure.closedFor.length > 0) pages.pair('Closed for work on', closure.closedFor.join(', '));
    if (closure.note !== '') pages.pair('Note', closure.note);
    for (const { sentence } of closure.conflicts) pages.pair('Conflict', sentence);
    pages.pair(
      'What governs',
      "The operator's own procedure and the authority's notice. This packet is a plan and closes nothing by itself.",
    );
    pages.pair(
      'Cautions',
      'At the end of this packet: dust, traffic and aircraft, products. Read them to the crew before work.',
    );
    pages.space(4);
  }

  #segments(closure: Closure): void {
    const { works } = closure;
    if (works.length === 0) return;
    const laned = works.some((work) => shortLanes(work) !== '');
    const seal = laned ? 22 : 23;
    const { length, width } = unitWords(this.#units);
    this.#pages.heading('Segments, in order along the pavement', 80);
    const clock = (local: string) => local.slice(11);
    const numbers = new Map<string, number>();
    for (const { segmentId } of works) if (!numbers.has(segmentId)) numbers.set(segmentId, numbers.size + 1);
    drawTable<Closure['works'][number]>(
      this.#pages,
      [
        { title: 'No.', share: 6, align: 'right', of: ({ segmentId }) => String(numbers.get(segmentId)) },
        { title: 'Segment', share: 17, of: ({ segmentId }) => segmentId },
        ...(laned ? [{ title: 'Lanes', share: 15, of: shortLanes }] : []),
        { title: 'From', share: 9, align: 'right', of: ({ fromM }) => length(fromM) },
        { title: 'To', share: 9, align: 'right', of: ({ toM }) => length(toM) },
        { title: 'Length', share: 9, align: 'right', of: ({ lengthM }) => length(lengthM) },
        {
          title: 'Width',
          share: 10,
          align: 'right',
          of: ({ widthMm }) => (widthMm === null ? 'measure' : width(widthMm)),
        },
        { title: 'Seal in place', share: seal, of: ({ sealantClassInPlace }) => words(sealantClassInPlace ?? 'none') },
        { title: 'New seal', share: seal, of: ({ sealantClass }) => words(sealantClass) },
        ...(works.some(({ pass }) => pass !== 'reseal') ? [{ title: 'Pass', share: 7, of: passOf }] : []),
        { title: 'Crew', share: 9, of: ({ crewId }) => crewId },
        { title: 'Hours', share: 14, of: ({ startsAt, endsAt }) => `${clock(startsAt)}–${clock(endsAt)}` },
      ],
      works,
      { size: 7 },
    );
    if (halvesIn(closure))
      this.#pages.paragraph(
        'Joints that lie across both ways are done in the lanes of this closure alone: their other half has a closure of its own.',
      );
  }

  #quantities(closure: Closure): void {
    const { length } = unitWords(this.#units);
    this.#pages.heading('Quantities');
    this.#pages.pair('Joint', length(closure.lengthM));
    for (const words of sealantWords(closure, this.#units)) {
      const [name, ...rest] = words.split(': ');
      this.#pages.pair(name, rest.join(': '));
    }
    for (const { slot, shape } of reservoirs(closure.works, this.#units)) this.#pages.pair(slot, shape);
    this.#pages.pair(
      'Crew hours',
      `${closure.crewHours.toFixed(1)} h of labour; crews ${closure.crews.join(', ') || 'none'}`,
    );
  }

  #order({ operations }: Closure): void {
    if (operations.length === 0) return;
    this.#pages.heading('Order of work, and what is checked', 80);
    for (const { kind, how, hours } of operations) {
      const name = kind.charAt(0).toUpperCase() + kind.slice(1).replaceAll('-', ' ');
      const time = hours === null ? 'a wait' : `machine time ${clockHours(hours)}`;
      this.#pages.pair(`${name} (${time})`, `${how}. ${OPERATION_CHECKS[kind] ?? ''}`.trim());
    }
  }

  #weather({ works }: Closure): void {
    const classes = [...new Set(works.map(({ sealantClass }) => sealantClass))];
    const gates = new Map(
      classes.map((each) => weatherGate(this.#schedule.gateProfile, each)).map((gate) => [gate.id, gate]),
    );
    if (gates.size === 0) return;
    this.#pages.heading('Weather limits', 60);
    for (const gate of gates.values()) {
      const { words, source } = gateWords(gate);
      this.#pages.pair(gate.id === 'preformed' ? 'Preformed seals' : 'Sealant', `${words}. Source: ${source}.`);
    }
    this.#pages.paragraph('Outside these limits no joint is prepared. Measure pavement temperature on the pavement.');
  }
}

/** "25 min", "2 h 05 min". */
function clockHours(hours: number): string {
  const minutes = Math.max(1, Math.round(hours * 60));
  const rest = `${String(minutes % 60).padStart(minutes < 60 ? 1 : 2, '0')} min`;
  return minutes < 60 ? rest : `${Math.floor(minutes / 60)} h ${rest}`;
}

const passOf = ({ pass }: Closure['works'][number]): string => pass;

const closesWords = ({ name, direction }: NonNullable<Closure['part']>): string =>
  direction === 'both'
    ? `${name}: no traffic beside the work`
    : `${name}; what else is open is not closed by this plan`;

const words = (name: string): string => name.replaceAll('-', ' ');

function chanceWords({ finishChance, finishInterval, finishWords, weatherChance }: Closure): string {
  const percent = (share: number) => `${Math.round(share * 100)} %`;
  const weather = weatherChance === null ? 'Weather not judged.' : `Workable weather alone: ${percent(weatherChance)}.`;
  if (finishChance === null) return `Not reckoned. ${finishWords ?? ''} ${weather}`.replace('  ', ' ');
  const between = finishInterval ? ` (${percent(finishInterval[0])} to ${percent(finishInterval[1])})` : '';
  return `${percent(finishChance)}${between}, weather and pace. ${weather}`;
}
