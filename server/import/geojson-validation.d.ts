/** The part of geojson-validation 1.0 that is used here; the package carries no types of its own. */
declare module 'geojson-validation' {
  /** With `trace` true, the list of what is wrong; empty when the feature's structure is right. */
  function isFeature(feature: unknown, trace: true): string[];
  const validation: { isFeature: typeof isFeature };
  export default validation;
}
