import { PAIR_LINES } from '../../../map/pair-layers.ts';
import { useTheme } from '../../shared/preferences.ts';

const KEY_WORDS: Readonly<Record<keyof typeof PAIR_LINES, string>> = {
  excludes: 'never closed together',
  needs: 'work on one needs the other closed',
};

/** How the two kinds of pairs are drawn on the map. */
export function PairKey() {
  const theme = useTheme();
  return (
    <p className="pair-key small">
      {(Object.keys(KEY_WORDS) as (keyof typeof PAIR_LINES)[]).map((kind) => (
        <span key={kind}>
          <svg width="28" height="6" aria-hidden="true">
            <line
              x1="0"
              x2="28"
              y1="3"
              y2="3"
              strokeWidth="4"
              stroke={PAIR_LINES[kind].colour[theme]}
              strokeDasharray={PAIR_LINES[kind].dash?.map((part) => part * 4).join(' ')}
            />
          </svg>
          {KEY_WORDS[kind]}
        </span>
      ))}
    </p>
  );
}
