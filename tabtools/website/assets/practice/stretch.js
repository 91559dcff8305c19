// What of a solo is played: stretches of milliseconds, told by the bars at their ends.

import { barAt } from "./score.js";

/** Whether a stretch is the whole solo. */
export const isWhole = ({ from, to }, score) => from === 0 && to === score.end;

/** The places of the first and last bar of a stretch. */
export const endsOf = ({ from, to }, score) => [barAt(score, from), barAt(score, to - 1)];

/** From one bar, by its place, to another: from where the one begins to where the other ends. */
export const stretchOf = (first, last, score) => ({ from: score.bars[first].start, to: score.bars[last].end });

/** The ends of a loop that is to begin at a bar: it ends where it did, unless that is before. */
export const loopedFrom = (here, stretch, score) => [
  here,
  Math.max(here, isWhole(stretch, score) ? here : endsOf(stretch, score)[1]),
];

/** The ends of a loop that is to end at a bar: it begins where it did, unless that is behind. */
export const loopedTo = (here, stretch, score) => [
  Math.min(here, isWhole(stretch, score) ? here : endsOf(stretch, score)[0]),
  here,
];

/** The stretch of a choice, `1000 2500`; null for an empty one, the whole solo. */
export const readStretch = (value) => {
  if (!value) return null;
  const [from, to] = value.split(" ").map(Number);
  return { from, to };
};

/** The places of bars by their numbers, or why they are none. */
export const barsNumbered = (from, to, score) => {
  const [first, last] = [from, to].map((wanted) => score.bars.findIndex(({ number }) => number === wanted));
  if (first < 0 || last < 0) return { fault: "There is no bar of that number." };
  if (first > last) return { fault: "The first bar comes after the last." };
  return { first, last };
};
