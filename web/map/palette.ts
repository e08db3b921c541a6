import type { Theme } from '../state/theme.ts';

/** Colours of the ground that the joints lie on. The map cannot read style sheets, so they are listed here. */
export interface Ground {
  readonly sea: string;
  readonly land: string;
  readonly border: string;
  readonly casing: string;
  /** Between the dashes of distressed joints. */ readonly gap: string;
  readonly stateName: string;
  readonly label: string;
  readonly labelHalo: string;
  readonly selected: string;
  readonly selectedHalo: string;
}

export const GROUND: Readonly<Record<Theme, Ground>> = {
  light: {
    sea: '#dfe5e5',
    land: '#f4f3ee',
    border: '#bcbfb7',
    casing: '#33403f',
    gap: '#ffffff',
    stateName: '#8b918c',
    label: '#1b2427',
    labelHalo: '#f4f3ee',
    selected: '#c2187a',
    selectedHalo: '#1b2427',
  },
  dark: {
    sea: '#0c1113',
    land: '#171e21',
    border: '#3a4549',
    casing: '#05090a',
    gap: '#05090a',
    stateName: '#67736f',
    label: '#e3e8e6',
    labelHalo: '#12181a',
    selected: '#ff6ec7',
    selectedHalo: '#ffffff',
  },
};
