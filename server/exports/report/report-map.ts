import type { Units } from '../units.ts';
import type { MapLine, MapLines } from './map-lines.ts';
import { FAINT, INK, printable, type ReportPages, RULE } from './report-pages.ts';
import { NO_WORK, yearColour, yearWidth } from './year-colours.ts';

/** Districts up to this number have a panel each: they may lie far apart. */
const MOST_PANELS = 6;
const TITLE_PT = 9;
/** Corners closer than this on paper are one, points. */
const FINEST_PT = 0.4;
/** Room beside the lines, and above and below them for name and scale. */
const SIDES = 20;
const ENDS = 34;
/** From so many lines on they are drawn at half width. */
const MANY_LINES = 1500;
const EARTH_M_PER_DEGREE = 111_195;
const M_PER_MILE = 1609.344;

/** The network as lines, coloured by the year of first work, in one panel or one for each district, with its legend. */
export function drawMap(
  pages: ReportPages,
  { lines, runs }: MapLines,
  { years, units, mostHeight }: { years: readonly number[]; units: Units; mostHeight: number },
): void {
  if (lines.length === 0) return;
  const panels = panelsOf(lines);
  const across = Math.min(panels.length, 3);
  const down = Math.ceil(panels.length / across);
  const gap = 10;
  const width = (pages.width - gap * (across - 1)) / across;
  const wanted = Math.max(...panels.map((panel) => heightFor(panel, width)));
  const size = { width, height: Math.min(wanted, (mostHeight - gap * (down - 1)) / down) };
  const height = size.height * down + gap * (down - 1);
  pages.need(height + 40);
  for (const [at, panel] of panels.entries()) {
    const x = pages.left + (at % across) * (size.width + gap);
    const y = pages.y + Math.floor(at / across) * (size.height + gap);
    new MapPanel(pages, panel, { x, y, ...size }).draw({ years: years.length, units });
  }
  pages.y += height + 8;
  legend(pages, years, runs);
}

interface PanelLines {
  readonly name: string;
  readonly lines: readonly MapLine[];
}

function panelsOf(lines: readonly MapLine[]): PanelLines[] {
  const districts = [...new Set(lines.map(({ district }) => district))].sort();
  if (districts.length === 1 || districts.length > MOST_PANELS) return [{ name: 'Whole network', lines }];
  return districts.map((name) => ({ name, lines: lines.filter(({ district }) => district === name) }));
}

/** Height at which the lines of a panel fill its width. */
function heightFor({ lines }: PanelLines, width: number): number {
  const [west, south, east, north] = frameOf(lines);
  const across = Math.max(1e-6, (east - west) * Math.cos((((south + north) / 2) * Math.PI) / 180));
  return ((width - SIDES) / across) * (north - south) + TITLE_PT + ENDS;
}

interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** One map: equirectangular about its middle, which keeps shapes over the width of a district. */
class MapPanel {
  readonly #pages: ReportPages;
  readonly #panel: PanelLines;
  readonly #place: Place;
  readonly #frame: Frame;
  readonly #pointsPerDegree: number;
  readonly #middle: readonly [number, number];
  readonly #shrink: number;

  constructor(pages: ReportPages, panel: PanelLines, place: Place) {
    this.#pages = pages;
    this.#panel = panel;
    this.#place = place;
    this.#frame = frameOf(panel.lines);
    const [west, south, east, north] = this.#frame;
    this.#middle = [(west + east) / 2, (south + north) / 2];
    this.#shrink = Math.cos((this.#middle[1] * Math.PI) / 180);
    const inner = { width: place.width - SIDES, height: place.height - TITLE_PT - ENDS };
    const across = Math.max(1e-6, (east - west) * this.#shrink);
    this.#pointsPerDegree = Math.min(inner.width / across, inner.height / Math.max(1e-6, north - south));
  }

  draw({ years, units }: { years: number; units: Units }): void {
    const { doc } = this.#pages;
    const { x, y, width, height } = this.#place;
    doc.rect(x, y, width, height).lineWidth(0.5).fillAndStroke('#f7f7f3', RULE);
    doc.font('Helvetica-Bold').fontSize(TITLE_PT).fillColor(INK);
    doc.text(printable(this.#panel.name), x + 6, y + 5, { width: width - 12, height: TITLE_PT + 2, ellipsis: true });
    doc.save().rect(x, y, width, height).clip().lineCap('round').lineJoin('round');
    this.#lines((year) => year === null, NO_WORK, 0.5);
    const finer = this.#panel.lines.length > MANY_LINES ? 0.5 : 1;
    for (let year = 0; year < years; year++)
      this.#lines((each) => each === year, yearColour(year, years), finer * yearWidth(year, years));
    doc.restore();
    this.#scaleBar(units);
    this.#outside();
  }

  /** All lines of one look as one path. */
  #lines(wanted: (year: number | null) => boolean, colour: string, width: number): void {
    const { doc } = this.#pages;
    let any = false;
    for (const { year, lines } of this.#panel.lines) {
      if (!wanted(year)) continue;
      for (const line of lines) any = this.#path(line) || any;
    }
    if (any) doc.lineWidth(width).strokeColor(colour).stroke();
  }

  #path(line: readonly (readonly number[])[]): boolean {
    const { doc } = this.#pages;
    let last: [number, number] | null = null;
    for (const [i, position] of line.entries()) {
      const at = this.#at(position);
      if (last === null) doc.moveTo(...at);
      else if (i === line.length - 1 || Math.hypot(at[0] - last[0], at[1] - last[1]) >= FINEST_PT) doc.lineTo(...at);
      else continue;
      last = at;
    }
    return line.length > 1;
  }

  #at([lon, lat]: readonly number[]): [number, number] {
    const { x, y, width, height } = this.#place;
    const [lon0, lat0] = this.#middle;
    const middle = [x + width / 2, y + TITLE_PT + 10 + (height - TITLE_PT - ENDS) / 2];
    return [
      Number((middle[0] + (lon - lon0) * this.#shrink * this.#pointsPerDegree).toFixed(2)),
      Number((middle[1] - (lat - lat0) * this.#pointsPerDegree).toFixed(2)),
    ];
  }

  /** Says what the frame leaves out. */
  #outside(): void {
    const [west, south, east, north] = this.#frame;
    const inside = ([lon, lat]: readonly number[]) => lon >= west && lon <= east && lat >= south && lat <= north;
    const out = this.#panel.lines.filter(({ lines }) => !lines.some((line) => line.some(inside))).length;
    if (out === 0) return;
    const { x, y, width } = this.#place;
    const { doc } = this.#pages;
    const words = `${out} ${out === 1 ? 'line lies' : 'lines lie'} far outside`;
    doc.font('Helvetica').fontSize(7).fillColor(FAINT);
    doc.text(words, x + 6, y + TITLE_PT + 8, { width: width - 12, lineBreak: false });
    doc.fillColor(INK);
  }

  #scaleBar(units: Units): void {
    const { doc } = this.#pages;
    const { x, y, width, height } = this.#place;
    const unitM = units === 'si' ? 1000 : M_PER_MILE;
    const pointsPerUnit = (this.#pointsPerDegree / EARTH_M_PER_DEGREE) * unitM;
    const length = evenBelow((width * 0.3) / pointsPerUnit);
    const [left, low] = [x + 8, y + height - 8];
    doc
      .moveTo(left, low - 3)
      .lineTo(left, low)
      .lineTo(left + length * pointsPerUnit, low)
      .lineTo(left + length * pointsPerUnit, low - 3)
      .lineWidth(0.8)
      .strokeColor(FAINT)
      .stroke();
    doc.font('Helvetica').fontSize(7).fillColor(FAINT);
    const words = `${length} ${units === 'si' ? 'km' : 'mi'}`;
    doc.text(words, left + length * pointsPerUnit + 4, low - 6, { lineBreak: false });
    doc.fillColor(INK);
  }
}

/** The largest of 1, 2 or 5 times a power of ten up to a value. */
function evenBelow(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  const times = [5, 2, 1].find((each) => each * power <= value) ?? 1;
  return Number((times * power).toPrecision(1));
}

type Frame = readonly [west: number, south: number, east: number, north: number];

/** Share of lines at either end that may lie far off, such as one with a wrong position, without shrinking all others. */
const FAR_SHARE = 0.01;

/** The box of all lines, or where a few lie far off, that of the others with a margin. */
function frameOf(lines: readonly MapLine[]): Frame {
  const [west, east] = rangeOf(lines, 0);
  const [south, north] = rangeOf(lines, 1);
  return [west, south, east, north];
}

function rangeOf(lines: readonly MapLine[], axis: 0 | 1): [number, number] {
  const firsts = Float64Array.from(lines, (line) => line.lines[0][0][axis]).sort();
  const at = (share: number) => firsts[Math.round(share * (firsts.length - 1))];
  const [low, high] = [at(FAR_SHARE), at(1 - FAR_SHARE)];
  const margin = 0.3 * (high - low) + 1e-4;
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { lines: parts } of lines)
    for (const part of parts)
      for (const position of part) {
        least = Math.min(least, position[axis]);
        most = Math.max(most, position[axis]);
      }
  return [Math.max(least, low - margin), Math.min(most, high + margin)];
}

/** A swatch for each year, as wide as its lines are drawn, and what grey means. */
function legend(pages: ReportPages, years: readonly number[], runs: boolean): void {
  const { doc } = pages;
  doc.font('Helvetica').fontSize(8).fillColor(INK);
  const words = runs ? 'Year by which half of a line is resealed first' : 'Year of the first reseal';
  doc.text(words, pages.left, pages.y, { lineBreak: false });
  pages.y += 12;
  const step = Math.min(40, (pages.width - 90) / years.length);
  const every = Math.ceil(22 / step);
  for (const [at, year] of years.entries()) {
    const x = pages.left + at * step;
    bar(doc, { x, y: pages.y + 3, width: step - 2 }, yearColour(at, years.length), yearWidth(at, years.length));
    if (at % every === 0) doc.text(String(year), x, pages.y + 7, { lineBreak: false });
  }
  const x = pages.left + pages.width - 76;
  bar(doc, { x, y: pages.y + 3, width: 20 }, NO_WORK, 0.8);
  doc.text('none planned', x + 24, pages.y - 1, { lineBreak: false });
  pages.y += 24;
}

function bar(
  doc: PDFKit.PDFDocument,
  { x, y, width }: { x: number; y: number; width: number },
  colour: string,
  weight: number,
): void {
  doc
    .moveTo(x, y)
    .lineTo(x + width, y)
    .lineCap('butt')
    .lineWidth(weight)
    .strokeColor(colour)
    .stroke();
}
