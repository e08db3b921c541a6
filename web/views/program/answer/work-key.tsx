import type { Program } from '../../../../server/schemas/program.ts';
import { colourGradient, OFF_SCALE } from '../../../map/colour-scale.ts';
import { WORK_LINES, type WorkMoment } from '../../../map/program-layers.ts';
import { useTheme } from '../../shared/preferences.ts';
import type { MapMode } from './where-and-when.tsx';

/** What the lines of the map stand for. */
export function WorkKey({ mode, program, year }: { mode: MapMode; program: Program; year: number }) {
  const theme = useTheme();
  if (mode === 'first') {
    const [first, last] = [program.years[0].year, program.years[program.years.length - 1].year];
    return (
      <div className="work-key">
        <div className="work-scale">
          <div className="scale-bar" style={{ background: colourGradient('due', theme, true) }} />
          <div className="scale-words figures">
            <span>{first}</span>
            <span>{Math.round((first + last) / 2)}</span>
            <span>{last}</span>
          </div>
        </div>
        <span>
          <LineMark colour={OFF_SCALE[theme].beyond} px={WORK_LINES.never.px} /> not within the horizon
        </span>
      </div>
    );
  }
  const words: Readonly<Record<WorkMoment, string>> = {
    now: `resealed in ${year}`,
    before: 'resealed before',
    after: 'comes later',
    never: 'not within the horizon',
  };
  return (
    <div className="work-key">
      {(Object.keys(words) as WorkMoment[]).map((moment) => (
        <span key={moment}>
          <LineMark
            colour={WORK_LINES[moment].colour[theme]}
            px={WORK_LINES[moment].px}
            dash={WORK_LINES[moment].dash}
          />{' '}
          {words[moment]}
        </span>
      ))}
    </div>
  );
}

export const LineMark = ({ colour, px, dash }: { colour: string; px: number; dash?: string }) => (
  <svg width="34" height="12" viewBox="0 0 34 12" aria-hidden="true">
    <path d="M1 6h32" stroke={colour} strokeWidth={px} strokeDasharray={dash} />
  </svg>
);
