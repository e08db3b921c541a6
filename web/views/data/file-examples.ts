import type { RecordKind } from '../../../server/schemas/words.ts';

/** The smallest useful file of each kind. Every agency and key in them is invented. */
export const FILE_EXAMPLES: Readonly<Record<RecordKind, { name: string; text: string }>> = {
  facilities: {
    name: 'facilities.csv',
    text: `id,kind,name,district,aadt,truckShare,yearBuilt
R12-E,highway,Route 12 eastbound,North,21500,0.18,1994
RWY-09,runway,Runway 09/27,Airport,,,1988`,
  },
  segments: {
    name: 'segments.geojson',
    text: `{ "type": "FeatureCollection", "features": [
  { "type": "Feature",
    "properties": { "id": "R12-E-0001", "facilityId": "R12-E",
      "jointType": "transverse-contraction", "widthMm": 10, "sealedLengthM": 73.2 },
    "geometry": { "type": "LineString",
      "coordinates": [[-98.5012, 39.8201], [-98.5007, 39.8203]] } }
] }`,
  },
  seals: {
    name: 'seals.csv',
    text: `segmentId,sealantClass,installed,width (in),preparation,removedOn,removalReason
R12-E-0001,silicone-self-levelling,2014-06-03,0.375,sawn-and-blasted,,
R12-E-0002,hot-applied-type-2,2009,0.5,blasted,2016-09-12,failed`,
  },
  inspections: {
    name: 'inspections.csv',
    text: `segmentId,inspectedOn,method,damaged (%),adhesive-failure (%),severity
R12-E-0001,2018-05-03,joint-length,2,2,low
R12-E-0001,2021-05-11,joint-length,14,11,moderate`,
  },
  stations: {
    name: 'stations.csv',
    text: `id,name,longitude,latitude,elevation (ft)
ST-001,Milltown,-98.47,39.81,1850`,
  },
  climate: {
    name: 'climate.csv',
    text: `STATION,DATE,TMAX,TMIN,PRCP,LATITUDE,LONGITUDE
ST-001,2020-01-01,3.3,-6.1,0.0,39.81,-98.47
ST-001,2020-01-02,1.1,-8.9,2.3,39.81,-98.47`,
  },
  'unit-costs': {
    name: 'unit-costs.csv',
    text: `sealantClass,jointType,cost per ft,pricedOn,source
silicone-self-levelling,any,2.50,2024-03-01,Spring tender
hot-applied-type-2,longitudinal,1.20,2024-03-01,Spring tender`,
  },
};
