import { sealantFamily } from '../../analytics/closures/sealant-family.ts';
import { workQuantities } from '../../analytics/closures/work-quantities.ts';
import type { Closure } from '../schemas/closures.ts';
import type { SealantClass } from '../schemas/words.ts';

/** Sealant and rod for some works: what is opened only takes none. Without a width on record, litres are not told. */
export function quantitiesOf(works: Closure['works'], wastageFactor: number): Pick<Closure, 'sealant' | 'rods'> {
  const sealed = works.filter(({ pass }) => pass !== 'open');
  const joints = sealed.flatMap(({ lengthM, sealantClass, widthMm }) =>
    widthMm === null
      ? []
      : [
          {
            lengthM,
            widthMm,
            newClass: sealantClass,
            beadDepthMm: null,
            withRod: true,
            rodType: 'round-hot-or-cold' as const,
          },
        ],
  );
  const { sealantL, preformedM, rods } = workQuantities(joints, wastageFactor);
  const classes = [...new Set(sealed.map(({ sealantClass }) => sealantClass))].sort();
  const unmeasured = sealed.filter(({ widthMm }) => widthMm === null);
  return {
    sealant: classes.map((sealantClass) => amountOf(sealantClass, { sealantL, preformedM, unmeasured })),
    rods: [...rods, ...rodOfUnknownSize(unmeasured)],
  };
}

interface Amounts {
  readonly sealantL: ReadonlyMap<string, number>;
  readonly preformedM: ReadonlyMap<string, number>;
  readonly unmeasured: Closure['works'];
}

function amountOf(sealantClass: SealantClass, { sealantL, preformedM, unmeasured }: Amounts) {
  const unknown = unmeasured.filter((work) => work.sealantClass === sealantClass);
  const unknownM = unknown.reduce((sum, { lengthM }) => sum + lengthM, 0);
  if (sealantFamily(sealantClass) === 'preformed')
    return { sealantClass, litres: null, metres: (preformedM.get(sealantClass) ?? 0) + unknownM };
  return { sealantClass, litres: unknownM > 0 ? null : (sealantL.get(sealantClass) ?? 0), metres: null };
}

function rodOfUnknownSize(unmeasured: Closure['works']): Closure['rods'] {
  const metres = unmeasured
    .filter(({ sealantClass }) => sealantFamily(sealantClass) !== 'preformed')
    .reduce((sum, { lengthM }) => sum + lengthM, 0);
  return metres === 0 ? [] : [{ diameterMm: null, metres }];
}
