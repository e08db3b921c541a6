import PDFDocument from 'pdfkit';
import type { Units } from '../units.ts';

export const INK = '#1b2427';
export const FAINT = '#5d6664';
export const RULE = '#c9cdc7';

const MARGIN = 50;
const FOOTER = 24;
const BODY_PT = 9.5;
const HEADING_PT = 13;
/** Where the second of two texts side by side begins. */
const PAIR_LEFT = 150;

/** What the built-in fonts can print (Windows-1252); the rest becomes a question mark. */
const PRINTABLE = /[^\n\x20-\x7e\u00a0-\u00ff\u20ac\u2013\u2014\u2018\u2019\u201c\u201d\u2022\u2026]/gu;
export const printable = (text: string): string => text.replaceAll(PRINTABLE, '?');

/** Pages that are filled from top to bottom: what does not fit goes onto the next. Positions are points, 1/72 inch. */
export class ReportPages {
  readonly doc: PDFKit.PDFDocument;
  /** Where the next thing goes, from the top of the page. */ y = MARGIN;
  /** Top of the paragraph written last. */ #top = MARGIN;

  /** @param madeOn ISO day: the day in the file's own record, so that the same report is the same bytes */
  constructor({ title, units, madeOn }: { title: string; units: Units; madeOn: string }) {
    const day = new Date(`${madeOn}T12:00:00Z`);
    this.doc = new PDFDocument({
      size: units === 'us' ? 'LETTER' : 'A4',
      margins: { top: MARGIN, bottom: MARGIN, left: MARGIN, right: MARGIN },
      bufferPages: true,
      lang: 'en',
      displayTitle: true,
      info: { Title: printable(title), Creator: 'Kerfcast', Producer: 'Kerfcast', CreationDate: day, ModDate: day },
    });
    this.doc.fillColor(INK);
  }

  get left(): number {
    return MARGIN;
  }

  get width(): number {
    return this.doc.page.width - 2 * MARGIN;
  }

  /** Room left on this page. */
  get room(): number {
    return this.doc.page.height - MARGIN - FOOTER - this.y;
  }

  newPage(): void {
    this.doc.addPage();
    this.y = MARGIN;
  }

  /** Begins a page where less than this is left. */
  need(height: number): void {
    if (this.room < height) this.newPage();
  }

  space(height: number): void {
    this.y += height;
  }

  /** @param follows room that what comes under it needs on the same page */
  heading(text: string, follows = 60): void {
    this.need(HEADING_PT + 14 + follows);
    if (this.y > MARGIN) this.space(8);
    this.line(text, { font: 'Helvetica-Bold', size: HEADING_PT });
    this.space(5);
  }

  paragraph(text: string, { size = BODY_PT, colour = INK, indent = 0 } = {}): void {
    const words = printable(text);
    const options = { width: this.width - indent, lineGap: 1.5 };
    this.doc.font('Helvetica').fontSize(size);
    const height = this.doc.heightOfString(words, options);
    this.need(height);
    this.#top = this.y;
    this.doc.fillColor(colour).text(words, this.left + indent, this.y, options);
    this.y += height + 4;
    this.doc.fillColor(INK);
  }

  /** Two texts side by side: what, and its value. */
  pair(what: string, value: string, size = 9): void {
    const [name, words] = [printable(what), printable(value)];
    const options = { width: this.width - PAIR_LEFT, lineGap: 1 };
    const height = this.doc.font('Helvetica').fontSize(size).heightOfString(words, options);
    this.need(Math.max(height, 2 * size));
    this.doc.fillColor(FAINT).text(name, this.left, this.y, { width: PAIR_LEFT - 10 });
    const nameHeight = this.doc.y - this.y;
    this.doc.fillColor(INK).text(words, this.left + PAIR_LEFT, this.y, options);
    this.y += Math.max(height, nameHeight) + 3;
  }

  bullet(text: string): void {
    this.paragraph(text, { indent: 10 });
    this.doc.font('Helvetica').fontSize(BODY_PT).text('•', this.left, this.#top, { lineBreak: false });
  }

  /** One line of text, cut where it is too long. */
  line(text: string, { font = 'Helvetica', size = BODY_PT, colour = INK } = {}): void {
    this.need(size + 4);
    this.doc.font(font).fontSize(size).fillColor(colour);
    this.doc.text(printable(text), this.left, this.y, { width: this.width, height: size * 1.3, ellipsis: true });
    this.doc.fillColor(INK);
    this.y += size * 1.3;
  }

  /** Numbers the pages, and ends the document. @returns the file */
  async finished(footer: string): Promise<Buffer> {
    const { doc } = this;
    const { start, count } = doc.bufferedPageRange();
    for (let i = start; i < start + count; i++) {
      doc.switchToPage(i);
      doc.page.margins.bottom = 0; // else text this low would begin a page
      const y = doc.page.height - MARGIN + 8;
      doc.font('Helvetica').fontSize(7.5).fillColor(FAINT);
      doc.text(printable(footer), MARGIN, y, { width: this.width - 60, height: 10, ellipsis: true });
      doc.text(`Page ${i - start + 1} of ${count}`, MARGIN, y, { width: this.width, align: 'right', lineBreak: false });
    }
    const parts: Buffer[] = [];
    doc.on('data', (part: Buffer) => parts.push(part));
    const ended = new Promise<void>((resolve, reject) => {
      doc.once('end', resolve);
      doc.once('error', reject);
    });
    doc.end();
    await ended;
    return Buffer.concat(parts);
  }
}
