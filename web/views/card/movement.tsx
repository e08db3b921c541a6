import type { SegmentCard } from '../../../server/schemas/card.ts';
import { formatShare, formatWidth } from '../../state/format.ts';
import { useUnits } from '../shared/preferences.ts';

/** Whether the joint opens further over a year than its sealant is made to follow. */
export function Movement({ movement }: { movement: SegmentCard['movement'] }) {
  const units = useUnits();
  if (!movement) return null;
  const within = movement.demandShare <= movement.capabilityShare;
  const full = Math.max(movement.demandShare, movement.capabilityShare) * 1.15;
  return (
    <section>
      <h3>Movement check</h3>
      <p className="small">
        Opens about {formatWidth(movement.seasonalOpeningMm, units)} between the hottest and the coldest slab, which is{' '}
        {formatShare(movement.demandShare)} of its {formatWidth(movement.widthMm, units)} width. The sealant is designed
        for {formatShare(movement.capabilityShare)}: {within ? 'within its range.' : 'more than it is made for.'}
      </p>
      <div className="movement-bar" aria-hidden="true">
        <div
          className={within ? 'demand' : 'demand beyond'}
          style={{ width: formatCss(movement.demandShare / full) }}
        />
        <div className="capability" style={{ left: formatCss(movement.capabilityShare / full) }} />
      </div>
      <p className="small soft">{movement.note}</p>
    </section>
  );
}

const formatCss = (share: number) => `${(share * 100).toFixed(1)}%`;
