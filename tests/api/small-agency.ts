/** Files of an agency of one facility and three segments, written by hand: what the tests load over HTTP. */
export const FACILITIES_CSV = `id,kind,name,route,district,lanes,widthM,aadt,truckShare,departuresPerYear,yearBuilt,recordsFrom
H1,highway,Test road 1,1,North,2,7.4,8000,0.2,,2001,
`;

const segment = (id: string, fromLon: number) => ({
  type: 'Feature',
  id,
  geometry: {
    type: 'LineString',
    coordinates: [
      [fromLon, 44],
      [fromLon + 0.005, 44.001],
    ],
  },
  properties: {
    id,
    facilityId: 'H1',
    district: 'North',
    jointType: 'transverse-contraction',
    beginM: 0,
    endM: 400,
    slabLengthM: 4.6,
    baseType: 'granular',
    coarseAggregate: 'limestone',
    widthMm: 10,
    sealedLengthM: 640,
    fuelExposure: false,
    unsealedByPolicy: false,
  },
});

export const SEGMENTS_GEOJSON = JSON.stringify({
  type: 'FeatureCollection',
  features: [segment('S1', -95), segment('S2', -94.99), segment('S3', -94.98)],
});

export const SEALS_CSV = `segmentId,sealantClass,installed,preparation,lot,removedOn,removalReason
S1,silicone-self-levelling,2012-06-10,sawn-and-blasted,A,,
S2,silicone-self-levelling,2012-06,sawn-and-blasted,A,,
S3,hot-applied-type-1,2015,sawn,B,,
`;

export const INSPECTIONS_CSV = `segmentId,inspectedOn,method,inspector,damagedShare
S1,2016-05-01,joint-length,K1,0
S1,2022-05-01,joint-length,K1,0.04
S2,2016-05-01,joint-length,K1,0.01
S2,2022-05-01,joint-length,K2,0.02
S3,2016-05-01,joint-length,K1,0.02
S3,2022-05-01,joint-length,K2,0.35
`;

export const UNIT_COSTS_CSV = `sealantClass,jointType,costPerM,pricedOn,priceSource
silicone-self-levelling,any,8.5,2026-01-01,test
hot-applied-type-1,any,3.2,2026-01-01,test
`;

export const SMALL_AGENCY = {
  'facilities.csv': FACILITIES_CSV,
  'segments.geojson': SEGMENTS_GEOJSON,
  'seals.csv': SEALS_CSV,
  'inspections.csv': INSPECTIONS_CSV,
  'unit-costs.csv': UNIT_COSTS_CSV,
} as const;
