import type { Closure } from '../../../../server/schemas/closures.ts';
import { MARKS } from './closure-badges.tsx';

/** Rules that are broken, each with its name and what it means here. */
export function ConflictList({ conflicts }: { conflicts: Closure['conflicts'] }) {
  return (
    <ul className="conflict-list">
      {conflicts.map(({ rule, sentence }) => (
        <li key={`${rule} ${sentence}`}>
          <span className="badge fault">
            {MARKS.conflict} {ruleWords(rule)}
          </span>{' '}
          {sentence}
        </li>
      ))}
    </ul>
  );
}

/** "one-runway-open" as "one runway open". */
const ruleWords = (rule: string): string => rule.replaceAll('-', ' ');
