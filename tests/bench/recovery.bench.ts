import { test } from 'vitest';
import { RECOVERED_FAMILIES, recoverLives, sharedHeld } from '../unit/analytics/survival/recovery.ts';
import { type Figure, keepFigures } from './figures.ts';

const SIZE = { sets: 200, seals: 2000 };

test('recovers the truth of 200 simulated data sets of each family', async () => {
  const found = RECOVERED_FAMILIES.flatMap((family) => recoverLives(family, SIZE));
  const each = found.flatMap(({ family, name, held, sets, bias }): Figure[] => [
    { what: `${family}: 95 % intervals of ${name} that hold the truth`, value: (100 * held) / sets, unit: '%' },
    { what: `${family}: bias of ${name}, in Monte Carlo standard errors`, value: bias, unit: '' },
  ]);
  const all = { what: 'all 95 % intervals that hold the truth', value: 100 * sharedHeld(found), unit: '%' };
  const worst = Math.max(...found.map(({ bias }) => Math.abs(bias)));
  await keepFigures('recovery', [
    { what: 'data sets of each family', value: SIZE.sets, unit: '' },
    { what: 'seals in each', value: SIZE.seals, unit: '' },
    { ...all, target: '93 to 97 %' },
    { what: 'largest bias, in Monte Carlo standard errors', value: worst, unit: '', target: 'under 3' },
    ...each,
  ]);
});
