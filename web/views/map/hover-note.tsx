import { probabilityAt } from '../../map/expressions.ts';
import type { PickedFeature } from '../../map/features.ts';
import { formatCount, formatLength, formatShare, formatYear } from '../../state/format.ts';
import type { PlaceNames } from '../../state/place-names.ts';
import { useUnits } from '../shared/preferences.ts';

interface Props {
  readonly feature: PickedFeature;
  readonly x: number;
  readonly y: number;
  readonly names: Readonly<Record<string, PlaceNames>>;
  readonly planningYear: number;
  readonly offset: number;
}

/** A reading beside the pointer. The list and the card say the same to those without one. */
export function HoverNote({ feature, x, y, names, planningYear, offset }: Props) {
  const units = useUnits();
  const failed = probabilityAt(feature.levels, offset);
  return (
    <div className="hover-note" style={{ left: x, top: y }} aria-hidden="true">
      <strong>
        {feature.kind === 'segment' ? feature.id : (names[feature.facilityId]?.own ?? feature.facilityId)}
      </strong>
      <span>
        {feature.kind === 'run' && `${formatCount(feature.segments, 'segment')}, `}
        {formatLength(feature.lengthM, units)} of joint
      </span>
      {feature.kind === 'segment' && (
        <span>
          {feature.damagedShare === null
            ? 'Never inspected'
            : `${formatShare(feature.damagedShare)} damaged when last seen`}
        </span>
      )}
      {feature.kind === 'run' && <span>{formatLength(feature.distressedM, units)} distressed when last seen</span>}
      <span>
        {feature.dueYear === null
          ? 'Not due within the horizon'
          : `Resealing due ${formatYear(feature.dueYear)}${feature.kind === 'run' ? ' on average' : ''}`}
      </span>
      {failed !== null && (
        <span>
          {roughChance(failed)} chance of having failed by the end of {planningYear + offset}
        </span>
      )}
    </div>
  );
}

/** Tiles carry chances in steps of 1/61; the card has the exact one. */
function roughChance(share: number): string {
  if (share === 0) return 'Under 1\u00a0%';
  return share === 1 ? 'Over 99\u00a0%' : `About ${formatShare(Math.round(share * 100) / 100)}`;
}
