export type ClimateZone = 'wet-freeze' | 'wet-nonfreeze' | 'dry-freeze' | 'dry-nonfreeze';

/** Above this freezing index a place is in a freeze zone: 83.3 °C-days, 150 °F-days. LTPP, from memory. */
export const FREEZE_LIMIT_C_DAYS = 83.3;
/** Above this yearly precipitation it is wet: 508 mm, 20 in. LTPP, from memory. */
export const WET_LIMIT_MM = 508;

/** Climate zone of the Long-Term Pavement Performance program. A place on a limit is on its lower side. */
export function climateZone(freezingIndexCDays: number, precipitationMmPerYear: number): ClimateZone {
  const wet = precipitationMmPerYear > WET_LIMIT_MM ? 'wet' : 'dry';
  const freeze = freezingIndexCDays > FREEZE_LIMIT_C_DAYS ? 'freeze' : 'nonfreeze';
  return `${wet}-${freeze}`;
}
