import type { JointType, SealantClass } from '../../../../server/schemas/words.ts';
import type { ClassDraft } from '../../../state/scenario-draft.ts';
import { JOINT_TYPE_LABELS, SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { Reasons } from '../../shared/form-fields.tsx';
import type { GroupProps } from './group-props.ts';

const JOINT_TYPES = Object.keys(JOINT_TYPE_LABELS) as JointType[];
const CLASSES: readonly SealantClass[] = (Object.keys(SEALANT_CLASS_LABELS) as SealantClass[]).filter(
  (word) => word !== 'unknown',
);

/** Which classes may be used where: every class with a price, or a choice by joint type and exposure to fuel. */
export function ClassFields({ draft, change, problems, defaults }: GroupProps) {
  return (
    <>
      <fieldset className="stack setup-part">
        <legend className="unseen">Sealant classes</legend>
        <label className="check">
          <input
            type="radio"
            name="choose-classes"
            checked={!draft.chooseClasses}
            onChange={() => change({ chooseClasses: false })}
          />
          Every class with a price, and like with like
        </label>
        <label className="check">
          <input
            type="radio"
            name="choose-classes"
            checked={draft.chooseClasses}
            onChange={() => change({ chooseClasses: true })}
          />
          Only those ticked below
        </label>
      </fieldset>
      {problems.allowedClasses && <p className="field-error">{problems.allowedClasses}</p>}
      {draft.chooseClasses && <ClassGrid classes={draft.classes} onChange={(classes) => change({ classes })} />}
      <ServerWords problems={problems} />
      <Reasons defaults={defaults} fields={['allowedClasses']} />
    </>
  );
}

/** What the server has against a class, for example one that its standard keeps away from fuel. */
function ServerWords({ problems }: Pick<GroupProps, 'problems'>) {
  const said = Object.entries(problems).filter(([place]) => place.startsWith('allowedClasses.'));
  return said.map(([place, words]) => (
    <p key={place} className="field-error">
      {words}
    </p>
  ));
}

/** No joint types ticked with the class in the list stands for every joint type. */
const ticked = ({ jointTypes }: ClassDraft, jointType: JointType): boolean =>
  jointTypes.length === 0 || jointTypes.includes(jointType);

function ClassGrid({
  classes,
  onChange,
}: {
  classes: readonly ClassDraft[];
  onChange: (classes: ClassDraft[]) => void;
}) {
  // A class that is not offered stays if it was put there otherwise.
  const listed = [...CLASSES, ...classes.map((row) => row.sealantClass).filter((word) => !CLASSES.includes(word))];
  const rowOf = (sealantClass: SealantClass) => classes.find((row) => row.sealantClass === sealantClass);
  const put = (sealantClass: SealantClass, row: ClassDraft | null) =>
    onChange(
      listed.flatMap((word) => {
        const kept = word === sealantClass ? row : (rowOf(word) ?? null);
        return kept ? [kept] : [];
      }),
    );
  const toggle = (sealantClass: SealantClass, jointType: JointType) => {
    const row = rowOf(sealantClass);
    const now = row ? JOINT_TYPES.filter((each) => ticked(row, each)) : [];
    const next = now.includes(jointType) ? now.filter((each) => each !== jointType) : [...now, jointType];
    if (next.length === 0) return put(sealantClass, null);
    const jointTypes = next.length === JOINT_TYPES.length ? [] : JOINT_TYPES.filter((each) => next.includes(each));
    put(sealantClass, { sealantClass, jointTypes, whereFuelIsSpilled: row?.whereFuelIsSpilled ?? false });
  };
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1)
    <section className="table-scroll" aria-label="Sealant classes by joint type" tabIndex={0}>
      <table className="table sticky-first class-grid">
        <caption className="unseen">
          Sealant classes by joint type, and whether they may be used where fuel is spilled
        </caption>
        <thead>
          <tr>
            <th scope="col">Class</th>
            <th scope="col">Every joint type</th>
            {JOINT_TYPES.map((jointType) => (
              <th key={jointType} scope="col">
                {JOINT_TYPE_LABELS[jointType]}
              </th>
            ))}
            <th scope="col">Where fuel is spilled</th>
          </tr>
        </thead>
        <tbody>
          {listed.map((sealantClass) => {
            const row = rowOf(sealantClass);
            const name = SEALANT_CLASS_LABELS[sealantClass];
            return (
              <tr key={sealantClass}>
                <th scope="row">{name}</th>
                <td>
                  <input
                    type="checkbox"
                    aria-label={`${name}: every joint type`}
                    checked={row !== undefined && row.jointTypes.length === 0}
                    onChange={({ target }) =>
                      put(
                        sealantClass,
                        target.checked
                          ? { sealantClass, jointTypes: [], whereFuelIsSpilled: row?.whereFuelIsSpilled ?? false }
                          : null,
                      )
                    }
                  />
                </td>
                {JOINT_TYPES.map((jointType) => (
                  <td key={jointType}>
                    <input
                      type="checkbox"
                      aria-label={`${name}: ${JOINT_TYPE_LABELS[jointType]}`}
                      checked={row !== undefined && ticked(row, jointType)}
                      onChange={() => toggle(sealantClass, jointType)}
                    />
                  </td>
                ))}
                <td>
                  <input
                    type="checkbox"
                    aria-label={`${name}: where fuel is spilled`}
                    disabled={!row}
                    checked={row?.whereFuelIsSpilled ?? false}
                    onChange={({ target }) => row && put(sealantClass, { ...row, whereFuelIsSpilled: target.checked })}
                  />
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}
