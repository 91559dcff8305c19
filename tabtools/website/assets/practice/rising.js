// A tempo that rises from turn to turn of a loop.

/** The tempo of the turn after so many: `by` faster after every few, `every`, never beyond its `goal`; shares of the
 * written tempo. */
export const risen = (rate, turns, { by, every, goal }) =>
  turns % every !== 0 || rate >= goal ? rate : Math.min(goal, rate + by);
