/** A browser may begin to read a saved file well after the click; an address withdrawn before that saves nothing. */
const KEPT_MS = 60_000;

/** Saves text that was made on the page as a file of the reader's. */
export const saveFile = (name: string, text: string, type: string): void => saveBlob(name, new Blob([text], { type }));

export function saveBlob(name: string, content: Blob): void {
  const address = URL.createObjectURL(content);
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), KEPT_MS);
}
