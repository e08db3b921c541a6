export interface Line {
  readonly constant: number;
  readonly slope: number;
}

/** Straight lines below all points, each through two of them: the lower half of their convex hull. @param x rising */
export function linesBelow(x: ArrayLike<number>, y: ArrayLike<number>): Line[] {
  const slope = (a: number, b: number) => (y[b] - y[a]) / (x[b] - x[a]);
  const hull: number[] = [];
  for (let i = 0; i < y.length; i++) {
    while (hull.length > 1 && slope(hull[hull.length - 2], i) <= slope(hull[hull.length - 2], hull[hull.length - 1]))
      hull.pop();
    hull.push(i);
  }
  return hull.slice(1).map((i, k) => {
    const along = slope(hull[k], i);
    return { slope: along, constant: y[i] - along * x[i] };
  });
}
