import type { Inspection } from '../../../server/schemas/inspection.ts';
import type { Seal } from '../../../server/schemas/seal.ts';
import {
  formatDay,
  formatDayRange,
  formatShare,
  formatTemperature,
  formatWidth,
  NOT_KNOWN,
} from '../../state/format.ts';
import {
  DAMAGE_KIND_LABELS,
  INSPECTION_METHOD_LABELS,
  labelOf,
  PREPARATION_LABELS,
  REMOVAL_REASON_LABELS,
  SEALANT_CLASS_LABELS,
  SEVERITY_LABELS,
} from '../../state/words.ts';
import { useUnits } from '../shared/preferences.ts';
import { sourceText } from './source-text.ts';

/** Each generation of sealant, newest first. */
export function SealRecords({ seals }: { seals: readonly Seal[] }) {
  const units = useUnits();
  if (seals.length === 0) return null;
  return (
    <section>
      <h3>Seals</h3>
      {[...seals].reverse().map((seal, i) => (
        <details key={seal.id} open={i === 0} className="record">
          <summary>
            {labelOf(SEALANT_CLASS_LABELS, seal.sealantClass)}, {formatDayRange(seal.installedFrom, seal.installedTo)}
            {seal.removedOn === null && <span className="badge accent">in place</span>}
          </summary>
          <dl className="facts">
            <Fact name="Specification" value={seal.specification ?? NOT_KNOWN} />
            <Fact name="Installed" value={formatDayRange(seal.installedFrom, seal.installedTo)} />
            <Fact name="At temperature" value={formatTemperature(seal.installedAtC, units)} />
            <Fact
              name="Width, recess, bead, rod"
              value={[seal.widthMm, seal.recessMm, seal.beadDepthMm, seal.backerRodDiameterMm]
                .map((sizeMm) => formatWidth(sizeMm, units))
                .join(', ')}
            />
            <Fact name="Preparation" value={labelOf(PREPARATION_LABELS, seal.preparation)} />
            <Fact name="Crew or lot" value={seal.lot ?? NOT_KNOWN} />
            {seal.removedOn !== null && (
              <Fact
                name="Removed"
                value={`${formatDay(seal.removedOn)}, ${labelOf(REMOVAL_REASON_LABELS, seal.removalReason).toLowerCase()}`}
              />
            )}
            <Fact name="Record" value={sourceText(seal)} />
          </dl>
        </details>
      ))}
    </section>
  );
}

/** Every inspection, newest first, with the kinds of damage it found. */
export function InspectionRecords({ inspections }: { inspections: readonly Inspection[] }) {
  if (inspections.length === 0) {
    return (
      <section>
        <h3>Inspections</h3>
        <p className="small soft">Never inspected.</p>
      </section>
    );
  }
  return (
    <section>
      <h3>Inspections</h3>
      {[...inspections].reverse().map((inspection) => (
        <details key={inspection.id} className="record">
          <summary>
            {formatDay(inspection.inspectedOn)}: {formatShare(inspection.damagedShare)} damaged
          </summary>
          <dl className="facts">
            <Fact name="Method" value={labelOf(INSPECTION_METHOD_LABELS, inspection.method)} />
            <Fact name="Damage" value={damageText(inspection)} />
            <Fact name="Severity" value={labelOf(SEVERITY_LABELS, inspection.severity)} />
            <Fact name="Inspector" value={inspection.inspector ?? NOT_KNOWN} />
            {inspection.notes && <Fact name="Notes" value={inspection.notes} />}
            {inspection.photographs.length > 0 && <Fact name="Photographs" value={inspection.photographs.join(', ')} />}
            <Fact name="Record" value={sourceText(inspection)} />
          </dl>
        </details>
      ))}
    </section>
  );
}

function damageText({ damageShares }: Inspection): string {
  const parts = Object.entries(damageShares).map(
    ([kind, share]) => `${labelOf(DAMAGE_KIND_LABELS, kind)} ${formatShare(share)}`,
  );
  return parts.length === 0 ? 'Not told apart' : parts.join(', ');
}

function Fact({ name, value }: { name: string; value: string }) {
  return (
    <div className="fact">
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}
