import type { MouseEvent } from 'react';
import { saveFile } from './save-file.ts';

const COPIED = ['fill', 'stroke', 'font-family', 'font-size', 'color'] as const;

/** Saves the picture of the figure that the button is in. Colours are written out, since tokens mean nothing outside. */
export function SvgDownload({ name }: { name: string }) {
  const save = (event: MouseEvent<HTMLButtonElement>) => {
    const drawing = event.currentTarget.closest('figure')?.querySelector<SVGSVGElement>('svg');
    if (drawing) saveFile(`${name}.svg`, standaloneSvg(drawing), 'image/svg+xml');
  };
  return (
    <button type="button" className="button push" onClick={save}>
      Save picture (SVG)
    </button>
  );
}

function standaloneSvg(drawing: SVGSVGElement): string {
  const copy = drawing.cloneNode(true) as SVGSVGElement;
  const originals = [drawing, ...drawing.querySelectorAll<SVGElement>(':not(style)')];
  const copies = [copy, ...copy.querySelectorAll<SVGElement>(':not(style)')];
  for (const [index, original] of originals.entries()) {
    const style = getComputedStyle(original);
    for (const property of COPIED) copies[index].style.setProperty(property, style.getPropertyValue(property));
  }
  copy.style.setProperty('background', getComputedStyle(document.documentElement).backgroundColor);
  copy.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  return new XMLSerializer().serializeToString(copy);
}
