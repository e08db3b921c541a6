import * as Plot from '@observablehq/plot';
import { useEffect, useRef, useState } from 'react';
import { useTheme } from './preferences.ts';

/** Colours of marks, from the design tokens, so that pictures follow the theme. */
export const PLOT_INK = {
  ink: 'var(--ink)',
  soft: 'var(--ink-soft)',
  line: 'var(--line-strong)',
  grid: 'var(--line)',
  accent: 'var(--accent)',
  wash: 'var(--accent-wash)',
  chalk: 'var(--chalk)',
  fault: 'var(--fault)',
} as const;

/** Below the axis as Plot puts it, a label in letters of this size loses what hangs below its line. */
const withLabelInside = ({ x, marginBottom }: Plot.PlotOptions): Plot.PlotOptions['x'] =>
  x && marginBottom !== undefined ? { labelOffset: marginBottom - 8, ...x } : x;

/**
 * An Observable Plot picture as wide as its place. `label` is its text alternative: say what is seen, not how.
 * `options` should be memoised; the picture is drawn again when it, the width or the theme changes.
 */
export function PlotPicture({
  options,
  label,
  height = 240,
}: {
  options: Plot.PlotOptions;
  label: string;
  height?: number;
}) {
  const place = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(0);
  const theme = useTheme();
  useEffect(() => {
    const element = place.current;
    if (!element) return;
    const watcher = new ResizeObserver(([entry]) => setWidth(Math.floor(entry.contentRect.width)));
    watcher.observe(element);
    return () => watcher.disconnect();
  }, []);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the theme changes what the colours of the marks stand for
  useEffect(() => {
    if (width === 0) return;
    const drawing = Plot.plot({
      ...options,
      x: withLabelInside(options),
      width,
      height,
      style: { background: 'transparent', color: 'var(--ink)', fontFamily: 'var(--font-text)', fontSize: '12px' },
    });
    drawing.setAttribute('role', 'img');
    drawing.setAttribute('aria-label', label);
    for (const part of drawing.querySelectorAll('[aria-label]')) part.removeAttribute('aria-label');
    place.current?.replaceChildren(drawing);
    return () => drawing.remove();
  }, [options, width, height, label, theme]);
  return <div ref={place} className="plot" style={{ minHeight: height }} />;
}
