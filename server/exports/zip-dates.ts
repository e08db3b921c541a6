/** Signatures of a zip archive (APPNOTE.TXT of PKWARE, sections 4.3.7, 4.3.12 and 4.3.16). */
const FILE = 0x04034b50;
const ENTRY = 0x02014b50;
const END = 0x06054b50;
const END_BYTES = 22;

/**
 * Gives every file in a zip archive the same day at noon in place of the moment at which it was packed, so that the same
 * contents are the same bytes. In place.
 * @param day ISO day from 1980 on
 * @throws RangeError when the bytes are no such archive
 */
export function datedZip(zip: Buffer, day: string): Buffer {
  const [year, month, date] = day.split('-').map(Number);
  const dosDate = ((year - 1980) << 9) | (month << 5) | date;
  const dosTime = 12 << 11;
  const end = zip.length - END_BYTES;
  if (end < 0 || zip.readUInt32LE(end) !== END) throw new RangeError('Not a zip archive without a comment');
  const count = zip.readUInt16LE(end + 10);
  let at = zip.readUInt32LE(end + 16);
  for (let i = 0; i < count; i++) {
    const file = zip.readUInt32LE(at + 42);
    if (zip.readUInt32LE(at) !== ENTRY || zip.readUInt32LE(file) !== FILE)
      throw new RangeError(`Entry ${i + 1} of the zip archive is not where it should be`);
    for (const place of [at + 12, file + 10]) {
      zip.writeUInt16LE(dosTime, place);
      zip.writeUInt16LE(dosDate, place + 2);
    }
    at += 46 + zip.readUInt16LE(at + 28) + zip.readUInt16LE(at + 30) + zip.readUInt16LE(at + 32);
  }
  return zip;
}
