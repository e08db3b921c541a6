import type { Interval } from '../../schemas/common.ts';
import type { FigureScale } from './figure-words.ts';
import { FAINT, INK, printable, type ReportPages, RULE } from './report-pages.ts';

const AXIS_PT = 7.5;
const LEFT = 44;
const BOTTOM = 16;

interface Frame {
  readonly xOf: (index: number) => number;
  readonly yOf: (value: number) => number;
  /** Width of one year. */ readonly step: number;
}

interface Axes {
  readonly title: string;
  readonly years: readonly number[];
  readonly largest: number;
  readonly say: FigureScale['say'];
  readonly height: number;
}

/** Steps of 1, 2, 2.5 or 5 times a power of ten, some four of them up to the largest value. */
export function evenTicks(largest: number, wanted = 4): number[] {
  if (!(largest > 0)) return [0];
  const rough = largest / wanted;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 5, 10].map((times) => times * power).find((each) => each >= rough) ?? 10 * power;
  return Array.from({ length: Math.ceil(largest / step - 1e-9) + 1 }, (_, k) => k * step);
}

/** Title, axes and year labels; leaves the pen below the chart. */
function frame(pages: ReportPages, { title, years, largest, say, height }: Axes): Frame {
  const { doc } = pages;
  pages.need(height + 24);
  pages.line(title, { font: 'Helvetica-Bold', size: 9.5 });
  pages.space(3);
  const [top, left] = [pages.y, pages.left + LEFT];
  const inner = height - BOTTOM;
  const ticks = evenTicks(largest);
  const most = ticks[ticks.length - 1] || 1;
  const step = (pages.width - LEFT) / years.length;
  const yOf = (value: number) => top + inner - (Math.min(value, most) / most) * inner;
  const xOf = (index: number) => left + (index + 0.5) * step;
  doc.font('Helvetica').fontSize(AXIS_PT).fillColor(FAINT);
  for (const tick of ticks) {
    const y = yOf(tick);
    doc
      .moveTo(left, y)
      .lineTo(pages.left + pages.width, y)
      .lineWidth(0.4)
      .strokeColor(RULE)
      .stroke();
    doc.text(say(tick), pages.left, y - AXIS_PT / 2, { width: LEFT - 5, align: 'right', lineBreak: false });
  }
  const every = Math.ceil(26 / step);
  for (const [at, year] of years.entries()) {
    if (at % every !== 0) continue;
    doc.text(String(year), xOf(at) - 20, top + inner + 5, { width: 40, align: 'center', lineBreak: false });
  }
  pages.y = top + height + 6;
  return { xOf, yOf, step };
}

export interface SpendingYear {
  readonly year: number;
  readonly cost: Interval;
  readonly budgetAtMost: number | null;
}

/** Bars of cost with their 80 % intervals as whiskers, and the budget as a line over each year. */
export function spendingChart(
  pages: ReportPages,
  years: readonly SpendingYear[],
  scale: FigureScale,
  height = 150,
): void {
  const { doc } = pages;
  const largest = Math.max(...years.flatMap(({ cost, budgetAtMost }) => [cost.upper, budgetAtMost ?? 0]));
  const title = `Spending by year, ${scale.unit} of each year`;
  const { xOf, yOf, step } = frame(pages, {
    ...{ title, largest, height, say: scale.say },
    years: years.map(({ year }) => year),
  });
  const half = Math.min(11, step * 0.34);
  for (const [at, { cost, budgetAtMost }] of years.entries()) {
    const x = xOf(at);
    doc.rect(x - half, yOf(cost.median), 2 * half, yOf(0) - yOf(cost.median)).fill('#2a788e');
    doc.moveTo(x, yOf(cost.lower)).lineTo(x, yOf(cost.upper)).lineWidth(1).strokeColor(INK).stroke();
    if (budgetAtMost === null) continue;
    const y = yOf(budgetAtMost);
    doc
      .moveTo(x - step / 2, y)
      .lineTo(x + step / 2, y)
      .lineWidth(1.4)
      .strokeColor('#b3400a')
      .stroke();
  }
  const limited = years.some(({ budgetAtMost }) => budgetAtMost !== null);
  key(pages, [
    { words: 'Work with mobilisation, at listed prices', mark: (x, y) => doc.rect(x, y, 8, 7).fill('#2a788e') },
    { words: '80 % of outcomes', mark: (x, y) => stroke(doc, [x + 4, y - 1, x + 4, y + 8], INK, 1) },
    ...(limited
      ? [{ words: 'Budget', mark: (x: number, y: number) => stroke(doc, [x, y + 3, x + 9, y + 3], '#b3400a', 1.4) }]
      : []),
  ]);
}

export interface ShareLine {
  readonly name: string;
  readonly shares: readonly number[];
  readonly dash: number;
  readonly colour: string;
}

/** The failed share of the program with its 80 % interval as a fan, beside single lines of others. */
export function failedShareChart(
  pages: ReportPages,
  {
    years,
    fan,
    others,
    height = 160,
  }: {
    years: readonly number[];
    fan: readonly Interval[];
    others: readonly ShareLine[];
    height?: number;
  },
): void {
  const { doc } = pages;
  const largest = Math.max(0.01, ...fan.map(({ upper }) => upper), ...others.flatMap(({ shares }) => shares));
  const say = (share: number) => `${+(100 * share).toFixed(1)} %`;
  const title = 'Failed share of sealed length at the end of each year';
  const { xOf, yOf } = frame(pages, { title, years, largest: Math.min(1, largest), height, say });
  const at = (values: readonly number[]) => values.map((value, i): [number, number] => [xOf(i), yOf(value)]);
  const band = [...at(fan.map(({ upper }) => upper)), ...at(fan.map(({ lower }) => lower)).reverse()];
  doc
    .polygon(...band)
    .fillOpacity(0.3)
    .fill('#2a788e')
    .fillOpacity(1);
  path(doc, at(fan.map(({ median }) => median)), '#2a788e', 2);
  for (const { shares, dash, colour } of others) {
    if (dash > 0) doc.dash(dash, { space: dash * 0.7 });
    path(doc, at(shares), colour, 1.1);
    doc.undash();
  }
  const dashed = ({ name, dash, colour }: ShareLine) => ({
    words: name,
    mark: (x: number, y: number) => {
      if (dash > 0) doc.dash(dash, { space: dash * 0.7 });
      stroke(doc, [x - 4, y + 3, x + 10, y + 3], colour, 1.1);
      doc.undash();
    },
  });
  key(pages, [
    { words: 'This program, with 80 % of outcomes', mark: (x, y) => doc.rect(x, y, 8, 7).fill('#2a788e') },
    ...others.map(dashed),
  ]);
}

function path(doc: PDFKit.PDFDocument, points: readonly [number, number][], colour: string, width: number): void {
  for (const [i, [x, y]] of points.entries()) i === 0 ? doc.moveTo(x, y) : doc.lineTo(x, y);
  doc.lineWidth(width).lineJoin('round').strokeColor(colour).stroke();
}

const stroke = (doc: PDFKit.PDFDocument, [x1, y1, x2, y2]: number[], colour: string, width: number) =>
  doc.moveTo(x1, y1).lineTo(x2, y2).lineWidth(width).strokeColor(colour).stroke();

interface KeyEntry {
  readonly words: string;
  readonly mark: (x: number, y: number) => void;
}

/** What the marks mean, in a row below the chart, or two. */
function key(pages: ReportPages, entries: readonly KeyEntry[]): void {
  const { doc } = pages;
  doc.font('Helvetica').fontSize(8);
  let x = pages.left + LEFT;
  for (const { words, mark } of entries) {
    const width = doc.widthOfString(printable(words)) + 30;
    if (x + width > pages.left + pages.width) {
      x = pages.left + LEFT;
      pages.y += 12;
    }
    mark(x, pages.y);
    doc.fillColor(INK).text(printable(words), x + 14, pages.y, { lineBreak: false });
    x += width;
  }
  pages.y += 20;
}
