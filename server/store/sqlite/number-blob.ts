import { endianness } from 'node:os';

/* Lists of 32-bit numbers are kept as blobs, little-endian. */

const BIG_ENDIAN = endianness() === 'BE';

type Numbers = Float32Array | Int32Array;

function filled<N extends Numbers>(numbers: N, blob: Buffer): N {
  const bytes = Buffer.from(numbers.buffer);
  blob.copy(bytes);
  if (BIG_ENDIAN) bytes.swap32();
  return numbers;
}

function blobOf(numbers: Numbers): Buffer {
  const own = BIG_ENDIAN ? numbers.slice() : numbers;
  const blob = Buffer.from(own.buffer, own.byteOffset, own.byteLength);
  return BIG_ENDIAN ? blob.swap32() : blob;
}

export const floatsOf = (blob: Buffer): Float32Array => filled(new Float32Array(blob.length / 4), blob);

export const wholeNumbersOf = (blob: Buffer): Int32Array => filled(new Int32Array(blob.length / 4), blob);

/** @param values those of a Float32Array are not copied: for one that changes before the blob is written, hand in a copy */
export const blobOfFloats = (values: ArrayLike<number>): Buffer =>
  blobOf(values instanceof Float32Array ? values : Float32Array.from(values));

export const blobOfWholeNumbers = (values: ArrayLike<number>): Buffer => blobOf(Int32Array.from(values));
