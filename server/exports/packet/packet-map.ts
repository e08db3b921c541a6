import type { LineGeometry } from '../../schemas/segment.ts';
import { FAINT, INK, type ReportPages, RULE } from '../report/report-pages.ts';
import type { Units } from '../units.ts';

export interface PacketLine {
  readonly lines: readonly (readonly (readonly number[])[])[];
  /** Place in the order of work, from 1; null: not worked on in this closure. */ readonly number: number | null;
}

export const linesOf = ({ type, coordinates }: LineGeometry): number[][][] =>
  type === 'LineString' ? [coordinates] : coordinates;

const HEIGHT = 230;
const SIDES = 26;
const WORK = '#9c2f00';
const EARTH_M_PER_DEGREE = 111_195;
const M_PER_FOOT = 0.3048;
/** More numbers than this would hide the lines. */
const MOST_NUMBERS = 40;

/** The facility in grey, the work of the closure in a strong colour and numbered in order; north is up. */
export function drawPacketMap(pages: ReportPages, drawn: readonly PacketLine[], units: Units): void {
  const { doc, width } = pages;
  const worked = drawn.filter(({ number }) => number !== null);
  if (worked.length === 0) return;
  const project = projection(
    worked.flatMap(({ lines }) => lines.flat()),
    { width, left: pages.left, top: pages.y },
  );
  doc.rect(pages.left, pages.y, width, HEIGHT).lineWidth(0.5).fillAndStroke('#f7f7f3', RULE);
  doc.save().rect(pages.left, pages.y, width, HEIGHT).clip().lineCap('round').lineJoin('round');
  for (const { lines } of drawn.filter(({ number }) => number === null)) path(doc, lines, project.at);
  doc.lineWidth(0.5).strokeColor('#a9ada6').stroke();
  for (const { lines } of worked) path(doc, lines, project.at);
  doc.lineWidth(2.2).strokeColor(WORK).stroke();
  const every = Math.ceil(worked.length / MOST_NUMBERS);
  for (const [i, { lines, number }] of worked.entries()) {
    if (i % every !== 0 && i !== worked.length - 1) continue;
    const [x, y] = project.at(lines[0][Math.floor(lines[0].length / 2)]);
    doc
      .font('Helvetica-Bold')
      .fontSize(7)
      .fillColor(INK)
      .text(String(number), x + 2, y - 8, { lineBreak: false });
  }
  doc.restore();
  furniture(pages, project.pointsPerM, units);
  pages.y += HEIGHT + 6;
}

function projection(
  points: readonly (readonly number[])[],
  { width, left, top }: { width: number; left: number; top: number },
) {
  const range = (axis: 0 | 1) =>
    points.reduce(
      ([low, high], point) => [Math.min(low, point[axis]), Math.max(high, point[axis])],
      [Infinity, -Infinity],
    );
  const [[west, east], [south, north]] = [range(0), range(1)];
  const [lon, lat] = [(west + east) / 2, (south + north) / 2];
  const shrink = Math.cos((lat * Math.PI) / 180);
  const least = 2e-4; // some 20 m: one short joint does not fill the page
  const across = Math.max(least, (east - west) * shrink);
  const down = Math.max(least, north - south);
  const scale = Math.min((width - 2 * SIDES) / across, (HEIGHT - 2 * SIDES) / down);
  const at = ([x, y]: readonly number[]): [number, number] => [
    left + width / 2 + (x - lon) * shrink * scale,
    top + HEIGHT / 2 - (y - lat) * scale,
  ];
  return { at, pointsPerM: scale / EARTH_M_PER_DEGREE };
}

function path(
  doc: PDFKit.PDFDocument,
  lines: PacketLine['lines'],
  at: (point: readonly number[]) => [number, number],
): void {
  for (const line of lines)
    for (const [i, point] of line.entries()) {
      const [x, y] = at(point);
      if (i === 0) doc.moveTo(x, y);
      else doc.lineTo(x, y);
    }
}

/** Scale bar and north arrow. */
function furniture({ doc, left, y, width }: ReportPages, pointsPerM: number, units: Units): void {
  const unitM = units === 'si' ? 1 : M_PER_FOOT;
  const length = evenBelow((width * 0.25) / (pointsPerM * unitM));
  const bar = length * unitM * pointsPerM;
  const low = y + HEIGHT - 8;
  doc
    .moveTo(left + 8, low - 3)
    .lineTo(left + 8, low)
    .lineTo(left + 8 + bar, low)
    .lineTo(left + 8 + bar, low - 3);
  doc.lineWidth(0.8).strokeColor(FAINT).stroke();
  doc.font('Helvetica').fontSize(7).fillColor(FAINT);
  doc.text(`${length} ${units === 'si' ? 'm' : 'ft'}`, left + 12 + bar, low - 6, { lineBreak: false });
  const [x, top] = [left + width - 16, y + 10];
  doc
    .moveTo(x, top + 22)
    .lineTo(x, top)
    .lineTo(x - 4, top + 7)
    .moveTo(x, top)
    .lineTo(x + 4, top + 7)
    .stroke();
  doc.text('N', x - 2.5, top + 24, { lineBreak: false });
  doc.fillColor(INK);
}

/** The largest of 1, 2 or 5 times a power of ten up to a value. */
function evenBelow(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  const times = [5, 2, 1].find((each) => each * power <= value) ?? 1;
  return Number((times * power).toPrecision(1));
}
