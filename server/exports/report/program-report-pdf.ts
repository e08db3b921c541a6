import type { Program, ProgramTotals, ProgramYear } from '../../schemas/program.ts';
import type { Settings } from '../../schemas/settings.ts';
import type { Store } from '../../store/store.ts';
import type { Units } from '../units.ts';
import { districtSums } from './district-sums.ts';
import { ends, type FigureScale, lengthScale, moneyScale, shareWords } from './figure-words.ts';
import { type MapLines, mapLines } from './map-lines.ts';
import { methodWords } from './method-words.ts';
import { failedShareChart, spendingChart } from './report-chart.ts';
import { drawMap } from './report-map.ts';
import { FAINT, ReportPages } from './report-pages.ts';
import { drawTable } from './report-table.ts';

const MOST_DISTRICTS = 40;
const MAP_HEIGHT = 400;

/** The program as a report to print: A4 in SI units, Letter in US customary ones. The same program gives the same bytes. */
export async function programReportPdf(store: Store, program: Program, units: Units): Promise<Buffer> {
  const settings = await store.readSettings();
  const lines = await mapLines(store, program.scenarioId);
  return new ProgramReport(program, settings, units).write(lines);
}

class ProgramReport {
  readonly #program: Program;
  readonly #settings: Settings;
  readonly #units: Units;
  readonly #pages: ReportPages;
  readonly #length: FigureScale;

  constructor(program: Program, settings: Settings, units: Units) {
    this.#program = program;
    this.#settings = settings;
    this.#units = units;
    this.#length = lengthScale(units);
    const title = `Resealing program: ${program.scenarioName}`;
    this.#pages = new ReportPages({ title, units, madeOn: program.planningDate });
  }

  write(lines: MapLines): Promise<Buffer> {
    this.#front(lines);
    this.#charts();
    this.#yearTable();
    this.#comparison();
    this.#districtTable();
    this.#asked();
    this.#method();
    const { scenarioName, scenarioRevision, modelVersion, dataVersion, planningDate } = this.#program;
    return this.#pages.finished(
      `${this.#settings.agencyName} · ${scenarioName}, revision ${scenarioRevision} · forecast from ${planningDate} · model ${modelVersion}, data ${dataVersion}`,
    );
  }

  #front(lines: MapLines): void {
    const { scenarioName, years, sentence, status, conflicts } = this.#program;
    const { agencyName, agencyInvented } = this.#settings;
    const pages = this.#pages;
    pages.line(agencyName, { size: 10, colour: FAINT });
    pages.space(2);
    pages.line(`Resealing program ${years[0].year} to ${years[years.length - 1].year}`, {
      font: 'Helvetica-Bold',
      size: 20,
    });
    pages.line(`Scenario: ${scenarioName}`, { size: 11 });
    if (agencyInvented) pages.line('The agency, its roads and its records are invented.', { colour: FAINT });
    pages.space(6);
    pages.paragraph(sentence, { size: 10.5 });
    if (status === 'infeasible') for (const conflict of conflicts) pages.bullet(conflict.sentence);
    pages.heading('Where and when');
    drawMap(pages, lines, { years: years.map(({ year }) => year), units: this.#units, mostHeight: MAP_HEIGHT });
  }

  #charts(): void {
    const { years, currency, baselines } = this.#program;
    const largest = Math.max(...years.map(({ cost, budgetAtMost }) => Math.max(cost.upper, budgetAtMost ?? 0)));
    this.#pages.heading('Spending and condition', 200);
    spendingChart(this.#pages, years, moneyScale(currency, largest));
    const shares = (name: string) =>
      baselines.find(({ baseline }) => baseline === name)?.years.map(({ failedShare }) => failedShare.median) ?? [];
    failedShareChart(this.#pages, {
      years: years.map(({ year }) => year),
      fan: years.map(({ failedShare }) => failedShare),
      others: [
        { name: 'Nothing done', shares: shares('nothing'), dash: 0, colour: '#5d6664' },
        { name: 'Worst first', shares: shares('worst-first'), dash: 5, colour: '#b3400a' },
        { name: 'Fixed cycle', shares: shares('fixed-cycle'), dash: 2, colour: '#482475' },
      ],
    });
  }

  #yearTable(): void {
    const { years, currency, totals } = this.#program;
    const money = moneyScale(currency, Math.max(...years.map(({ cost }) => cost.upper)));
    const limited = years.some(({ budgetAtMost }) => budgetAtMost !== null);
    const sum = (of: (row: ProgramYear) => number) => years.reduce((all, row) => all + of(row), 0);
    type Line = Pick<ProgramYear, 'works' | 'lengthM' | 'facilities' | 'cost' | 'budgetAtMost' | 'budgetPrice'> & {
      readonly name: string;
      readonly end: Pick<ProgramYear, 'failedShare' | 'backlogM'> | null;
    };
    const lines: Line[] = years.map((row) => ({ ...row, name: String(row.year), end: row }));
    lines.push({
      ...{ name: 'All', works: totals.works, lengthM: totals.lengthM, cost: totals.nominalCost, end: null },
      ...{ facilities: sum(({ facilities }) => facilities), budgetPrice: null },
      budgetAtMost: years.every(({ budgetAtMost }) => budgetAtMost !== null)
        ? sum(({ budgetAtMost }) => budgetAtMost ?? 0)
        : null,
    });
    const maybe = (value: number | null, say: (known: number) => string) => (value === null ? '' : say(value));
    this.#pages.heading('Budget table', 120);
    this.#pages.paragraph(
      `Money of each year, ${money.unit}, mobilisation and traffic control included. Ranges hold 80 % of outcomes. A facility counts once a year. Year by district and sealant class: see the workbook or CSV of this program.`,
      { size: 8.5, colour: FAINT },
    );
    drawTable<Line>(
      this.#pages,
      [
        { title: 'Year', share: 6, of: ({ name }) => name },
        { title: 'Reseals', share: 8, align: 'right', of: ({ works }) => works.toLocaleString('en-US') },
        { title: 'Facilities', share: 9, align: 'right', of: ({ facilities }) => facilities.toLocaleString('en-US') },
        { title: `Length, ${this.#length.unit}`, share: 9, align: 'right', of: (row) => this.#length.say(row.lengthM) },
        { title: 'Cost', share: 9, align: 'right', of: ({ cost }) => money.say(cost.median) },
        { title: '80 % range', share: 14, align: 'right', of: ({ cost }) => ends(cost, money.say) },
        ...(limited
          ? ([
              {
                title: 'Budget',
                share: 9,
                align: 'right',
                of: ({ budgetAtMost }: Line) => maybe(budgetAtMost, money.say),
              },
              {
                title: 'One more unit saves',
                share: 10,
                align: 'right',
                of: ({ budgetPrice }: Line) => maybe(budgetPrice, (price) => price.toFixed(2)),
              },
            ] as const)
          : []),
        {
          ...{ title: 'Failed share', share: 9, align: 'right' },
          of: ({ end }) => (end ? shareWords(end.failedShare.median) : ''),
        },
        {
          ...{ title: `Backlog, ${this.#length.unit}`, share: 9, align: 'right' },
          of: ({ end }) => (end ? this.#length.say(end.backlogM.median) : ''),
        },
      ],
      lines,
      { strong: ({ name }) => name === 'All' },
    );
  }

  #comparison(): void {
    const { totals, baselines, currency, priceYear, scenarioName } = this.#program;
    const all = [
      { name: scenarioName, totals },
      ...baselines.map((each) => ({ name: plain(each.baseline), totals: each.totals })),
    ];
    const largest = Math.max(...all.map((each) => each.totals.presentOpenCost.median + each.totals.presentCost.median));
    const money = moneyScale(currency, largest);
    const total = (each: ProgramTotals) =>
      each.presentCost.median + each.presentOpenCost.median + each.presentFinalCost;
    this.#pages.heading('Held against simple rules', 130);
    this.#pages.paragraph(
      `All by the same forecast and draws. Costs in ${money.unit} of ${priceYear}, discounted to the first year. "Follows" is what comes after the last year.`,
      { size: 8.5, colour: FAINT },
    );
    drawTable(
      this.#pages,
      [
        { title: '', share: 16, of: ({ name }) => name },
        { title: 'Work', share: 9, align: 'right', of: (row) => money.say(row.totals.presentCost.median) },
        { title: 'Open joints', share: 9, align: 'right', of: (row) => money.say(row.totals.presentOpenCost.median) },
        { title: 'Follows', share: 9, align: 'right', of: (row) => money.say(row.totals.presentFinalCost) },
        { title: 'Together', share: 9, align: 'right', of: (row) => money.say(total(row.totals)) },
        {
          ...{ title: 'Failed share at the end', share: 10, align: 'right' },
          of: (row) => shareWords(row.totals.failedShareAtEnd.median),
        },
        {
          ...{ title: `Failed ${this.#length.unit} x years`, share: 10, align: 'right' },
          of: (row) => this.#length.say(row.totals.failedLengthYearsM.median),
        },
        {
          ...{ title: 'Budget used', share: 9, align: 'right' },
          of: (row) => (row.totals.budgetUsedShare === null ? '' : shareWords(row.totals.budgetUsedShare)),
        },
      ],
      all,
      { strong: ({ name }) => name === scenarioName },
    );
    for (const { baseline, rule } of baselines)
      this.#pages.paragraph(`${plain(baseline)}: ${rule}`, { size: 8.5, colour: FAINT });
  }

  #districtTable(): void {
    const sums = districtSums(this.#program);
    const shown = sums.slice(0, MOST_DISTRICTS);
    const money = moneyScale(this.#program.currency, Math.max(...sums.map(({ cost }) => cost)));
    this.#pages.heading('By district', 80);
    drawTable(
      this.#pages,
      [
        { title: 'District', share: 17, of: ({ district }) => district },
        { title: `Length, ${this.#length.unit}`, share: 9, align: 'right', of: (row) => this.#length.say(row.lengthM) },
        { title: `Cost, ${money.unit}`, share: 11, align: 'right', of: ({ cost }) => money.say(cost) },
        { title: 'Of all cost', share: 8, align: 'right', of: ({ costShare }) => shareWords(costShare) },
        { title: 'Failed, first year', share: 9, align: 'right', of: ({ first }) => shareWords(first.median) },
        { title: 'Failed, last year', share: 9, align: 'right', of: ({ last }) => shareWords(last.median) },
        { title: '80 % range', share: 14, align: 'right', of: ({ last }) => ends(last, shareWords) },
        {
          title: `Backlog, ${this.#length.unit}`,
          share: 9,
          align: 'right',
          of: (row) => this.#length.say(row.backlogM),
        },
      ],
      shown,
    );
    const more = sums.length - shown.length;
    if (more > 0)
      this.#pages.paragraph(`${more} more districts, all with less work, are in the workbook.`, { size: 8.5 });
  }

  #asked(): void {
    const { asked, assumptions, handMadeCost, currency, priceYear } = this.#program;
    this.#pages.heading('What was asked');
    for (const { what, value } of asked) this.#pages.pair(what, value);
    if (handMadeCost !== null) {
      const { say, unit } = moneyScale(currency, handMadeCost);
      this.#pages.paragraph(
        `The choices made by hand add ${say(handMadeCost)} (${unit} of ${priceYear}) to the cost.`,
        {
          size: 9,
        },
      );
    }
    this.#pages.heading('What it takes for granted');
    for (const sentence of assumptions) this.#pages.bullet(sentence);
  }

  #method(): void {
    this.#pages.heading('How the program was made');
    for (const paragraph of methodWords(this.#program)) this.#pages.paragraph(paragraph);
    this.#pages.heading('Cautions');
    for (const caution of this.#program.cautions) this.#pages.bullet(caution);
  }
}

const plain = (word: string): string => `${word[0].toUpperCase()}${word.slice(1).replaceAll('-', ' ')}`;
