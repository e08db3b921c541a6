import { useMutation, useQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import type { ClosureRules } from '../../../../server/schemas/closure-rules.ts';
import type { ClosureClash, ClosureDefaults, ClosurePlan } from '../../../../server/schemas/closures.ts';
import type { Facility } from '../../../../server/schemas/facility.ts';
import { editClosurePlan, startSchedule } from '../../../api/closures.ts';
import { ApiProblem } from '../../../api/request.ts';
import { type RulesDraft, withRules } from '../../../state/closure-rules-draft.ts';
import { placeRulesProblems, rulesProblems } from '../../../state/closure-rules-read.ts';
import { rulesInWords } from '../../../state/closure-rules-words.ts';
import { placeNames } from '../../../state/place-names.ts';
import type { FieldProblems } from '../../../state/scenario-read.ts';
import { useStartJob } from '../../data/use-jobs.ts';
import { DraftActions } from '../../shared/draft-actions.tsx';
import type { DraftState } from '../../shared/kept-drafts.ts';
import { facilitiesQuery } from '../../shared/queries.ts';
import { Overtaken, OvertakenChoices, SaveProblems, SetupFrame } from '../../shared/setup-frame.tsx';
import { Answered } from '../../shared/states.tsx';
import { ClashNote } from '../clash-note.tsx';
import { closureDefaultsQuery } from '../closure-queries.ts';
import { usePlanNews, useReadAgain } from '../use-plan-news.ts';
import './closure-setup.css';
import { Production } from './production.tsx';
import { RULE_GROUPS, ruleGroupOf } from './rule-groups.ts';
import type { RulesProps } from './rules-props.ts';
import { useRulesDraft } from './use-rules-draft.ts';

/** All rules of a plan: in words, typed, checked and saved. */
export function ClosureSetup({ plan }: { plan: ClosurePlan }) {
  const defaults = useQuery(closureDefaultsQuery(plan.rules.scenarioId, plan.rules.year));
  const facilities = useQuery(facilitiesQuery);
  return (
    <Answered query={defaults} what="the defaults">
      {(data) => (
        <Answered query={facilities} what="the facilities">
          {(list) => <RulesForm key={plan.id} plan={plan} defaults={data} facilities={list} />}
        </Answered>
      )}
    </Answered>
  );
}

interface FormProps {
  readonly plan: ClosurePlan;
  readonly defaults: ClosureDefaults;
  readonly facilities: readonly Facility[];
}

function RulesForm({ plan, defaults, facilities }: FormProps) {
  const state = useRulesDraft(plan);
  const { draft } = state;
  const { rules } = draft;
  const typed = rulesProblems(draft);
  const save = useSave(plan, state);
  const problems: FieldProblems = { ...save.refused, ...typed };
  const mend = Object.keys(typed).length > 0;
  const inPlan = useMemo(() => facilitiesInPlan(rules, defaults, facilities), [rules, defaults, facilities]);
  const names = useMemo(() => shortNames(inPlan, facilities), [inPlan, facilities]);
  const nameOf = (id: string) => names.get(id) ?? id;
  const put = (next: RulesDraft) => state.change(next);
  const fields: RulesProps = {
    ...{ draft, put, problems, defaults, facilities, inPlan, nameOf },
    set: (part) => put(withRules(draft, part)),
  };
  return (
    <div className="stack closure-rules">
      <InWords {...fields} />
      <Production {...fields} />
      <SetupFrame
        legend={`Rules of ${plan.name}`}
        groups={RULE_GROUPS.map(({ id, title, Fields }) => ({
          ...{ id, title },
          faults: Object.keys(problems).filter((place) => ruleGroupOf(place) === id).length,
          fields: <Fields {...fields} />,
        }))}
        notices={
          save.clash ? (
            <ClashNote clash={save.clash} kept="Nothing of yours is lost: it is still in the form below.">
              <OvertakenChoices state={state} onDone={save.settle} />
            </ClashNote>
          ) : (
            state.overtaken && <Overtaken what="This plan" state={state} />
          )
        }
        foot={
          <>
            <SaveProblems error={save.error} others={save.others} />
            {/* With nothing to save, the plan's own button above does it. */}
            <DraftActions
              {...{ state, mend }}
              busy={save.isPending}
              onMake={() => save.run(rules, true)}
              make="Save and make the schedule"
            />
          </>
        }
        onSubmit={() => {
          if (!mend) save.run(rules, false);
        }}
      />
    </div>
  );
}

/** What the rules say, on one look. */
function InWords({ draft, defaults, inPlan, nameOf }: RulesProps) {
  const gate = defaults.gates.find(({ profile }) => profile === draft.rules.gateProfile)?.words ?? '';
  const sentences = rulesInWords(draft.rules, {
    ...{ nameOf, gate, units: draft.units },
    roads: inPlan.some(({ kind }) => kind === 'highway' || kind === 'bridge'),
  });
  return (
    <section className="card stack" aria-labelledby="rules-in-words">
      <h2 id="rules-in-words">The rules in words</h2>
      <p className="rules-in-words">{sentences.join(' ')}</p>
      <p className="small soft">
        Every rule below starts from a default with its reason: change what differs at your place. The operator’s own
        procedure and the authority’s notice govern.
      </p>
    </section>
  );
}

/** "Runway A" where the plan has one airport; the whole name where two facilities would be called alike. */
function shortNames(inPlan: readonly Facility[], facilities: readonly Facility[]): Map<string, string> {
  const near = placeNames(facilities);
  const used = new Map<string, number>();
  for (const { id } of inPlan) used.set(near[id].near, (used.get(near[id].near) ?? 0) + 1);
  return new Map(
    facilities.map(({ id, name }) => [
      id,
      used.get(near[id].near) === 1 && inPlan.some((each) => each.id === id) ? near[id].near : name,
    ]),
  );
}

/** Facilities with work that take part, and those that the rules name. */
function facilitiesInPlan(
  { facilityIds, exclusions, safetyAreas }: ClosureRules,
  { worksOfYear }: ClosureDefaults,
  facilities: readonly Facility[],
): Facility[] {
  const ids = new Set([
    ...(facilityIds.length > 0 ? facilityIds : worksOfYear.map(({ facilityId }) => facilityId)),
    ...exclusions.flatMap((pair) => pair.facilityIds),
    ...safetyAreas.flatMap(({ facilityId, needsClosed }) => [facilityId, needsClosed]),
  ]);
  return facilities.filter(({ id }) => ids.has(id));
}

/** Saves the rules, then makes the schedule if asked to. The server's refusals go beside their fields. */
function useSave(plan: ClosurePlan, state: DraftState<RulesDraft>) {
  const tell = usePlanNews();
  const readAgain = useReadAgain();
  const [clash, setClash] = useState<ClosureClash | null>(null);
  const [sent, setSent] = useState<ClosureRules | null>(null);
  const start = useStartJob(startSchedule);
  const edit = useMutation({ mutationFn: (rules: ClosureRules) => editClosurePlan(plan, { rules }) });
  const errors = edit.error instanceof ApiProblem ? edit.error.errors : [];
  const { problems: refused, others } = placeRulesProblems(errors, sent ?? plan.rules);
  return {
    ...{ refused, others, clash },
    error: edit.error ?? start.error,
    isPending: edit.isPending || start.isPending,
    settle: () => setClash(null),
    run: (rules: ClosureRules, make: boolean) => {
      setSent(rules);
      edit.mutate(rules, {
        onSuccess: (edited) => {
          if (edited.kind === 'clash') {
            // First the plan as it is now: whoever goes on with the own rules goes on from that revision.
            void readAgain(plan.id).then(() => setClash(edited.clash));
            return;
          }
          tell(edited.value);
          state.forget();
          if (make) start.mutate(plan.id);
        },
      });
    },
  };
}
