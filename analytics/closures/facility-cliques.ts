/** More cliques than this are not listed; pairs then stand in for them, which is as right and a little weaker. */
const MOST_CLIQUES = 2000;

/**
 * Sets of facilities of which only one may be closed at a time: the maximal cliques of the exclusions, a facility that
 * excludes none by itself. Source: Bron and Kerbosch (Comm. ACM 16, 1973), with pivot.
 */
export function facilityCliques(excluded: readonly (readonly number[])[]): number[][] {
  const near = excluded.map((others) => new Set(others));
  const cliques: number[][] = [];
  const grow = (clique: number[], candidates: number[], seen: number[]): boolean => {
    if (candidates.length === 0 && seen.length === 0) {
      cliques.push([...clique].sort((a, b) => a - b));
      return cliques.length <= MOST_CLIQUES;
    }
    const pivot = [...candidates, ...seen].reduce((best, f) => (near[f].size > near[best].size ? f : best));
    let [open, done] = [candidates, seen];
    for (const f of candidates.filter((candidate) => !near[pivot].has(candidate))) {
      const among = (list: number[]) => list.filter((other) => near[f].has(other));
      if (!grow([...clique, f], among(open), among(done))) return false;
      open = open.filter((other) => other !== f);
      done = [...done, f];
    }
    return true;
  };
  const all = excluded.map((_, f) => f);
  if (all.length === 0 || grow([], all, [])) return cliques;
  return excluded.flatMap((others, f) =>
    others.length === 0 ? [[f]] : others.filter((g) => g > f).map((g) => [f, g]),
  );
}
