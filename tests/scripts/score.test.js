// Where moments lie: bars, counts, count-ins, loops, the way between a score and a recording or a drawing.

import assert from "node:assert/strict";
import { test } from "node:test";

import { acrossAt, barAt, countIn, countsOf, marksOf, steadyWay } from "../../tabtools/website/assets/practice/score.js";
import {
  barsNumbered,
  endsOf,
  isWhole,
  loopedFrom,
  loopedTo,
  readStretch,
  stretchOf,
} from "../../tabtools/website/assets/practice/stretch.js";
import { readScore } from "../../tabtools/website/assets/records.js";

/** A pickup of one count, two bars of four, one out of time; 500 milliseconds a count. */
const SCORE = readScore({
  a4: 440,
  end: 6500,
  bars: [
    [0, 0, 4, 1, 4, [0]],
    [1, 500, 1, 4, 4, [500, 1500], 10000],
    [2, 2500, 1, 4, 4, [], 12500],
    [3, 4500, 1, 0, 4, [4500]],
  ],
  voices: [],
});

test("a bar ends where the next begins, the last with the score", () => {
  assert.deepEqual(SCORE.bars.map(({ end }) => end), [500, 2500, 4500, 6500]);
});

test("the bar at a moment", () => {
  const found = [-5, 0, 499, 500, 2499.9, 2500, 9000].map((ms) => barAt(SCORE, ms));
  assert.deepEqual(found, [0, 0, 0, 1, 1, 2, 3]);
});

test("every count, the first of each bar told apart", () => {
  const counts = countsOf(SCORE);
  assert.deepEqual(counts.map(({ at }) => at), [0, 500, 1000, 1500, 2000, 2500, 3000, 3500, 4000]);
  assert.deepEqual(counts.filter(({ isFirst }) => isFirst).map(({ at }) => at), [500, 2500]);
});

test("a count-in is a bar, and what is missing of a bar that has begun", () => {
  const told = (place) => countIn(SCORE, place).map(({ before, isFirst }) => (isFirst ? -before : before));
  assert.deepEqual(told(500), [-2000, 1500, 1000, 500]);
  assert.deepEqual(told(1500), [-3000, 2500, 2000, 1500, -1000, 500]);
  assert.deepEqual(told(0), [-3500, 3000, 2500, 2000, -1500, 1000, 500]);
});

test("a bar out of time is counted in as the last counted bar is", () => {
  assert.deepEqual(countIn(SCORE, 5000).map(({ before }) => before), [2000, 1500, 1000, 500]);
});

test("where nothing is counted there is no count-in", () => {
  const free = readScore({ a4: 440, end: 1000, bars: [[1, 0, 1, 0, 4, []]], voices: [] });
  assert.deepEqual(countIn(free, 0), []);
});

test("a steady way leads back", () => {
  const way = steadyWay(3, 1000, 0.5);
  assert.equal(way.timeOf(1000), 3);
  assert.equal(way.timeOf(2000), 5);
  assert.equal(way.placeAt(way.timeOf(1234)), 1234);
});

test("between written places a recording runs evenly, elsewhere at the written tempo", () => {
  const { secondsOf, placeOf } = marksOf(SCORE);
  assert.deepEqual([0, 500, 1500, 2500, 4500].map(secondsOf), [9.5, 10, 11.25, 12.5, 14.5]);
  for (const ms of [0, 700, 2500, 6000]) assert.ok(Math.abs(placeOf(secondsOf(ms)) - ms) < 1e-6);
});

test("without a written place a recording begins with the score", () => {
  const { secondsOf } = marksOf({ bars: [{ start: 0 }] });
  assert.equal(secondsOf(1500), 1.5);
});

test("a moment lies between its neighbours, or on the last stroke before it", () => {
  const moments = [[0, 10], [100, 30], [200, 90], [300, 100]];
  assert.deepEqual([0, 50, 100, 150, 300].map((ms) => acrossAt(moments, ms)), [10, 20, 30, 60, 100]);
  assert.deepEqual([0, 99, 100, 199].map((ms) => acrossAt(moments, ms, true)), [10, 10, 30, 30]);
  assert.equal(acrossAt(moments, 5000), 100);
  assert.equal(acrossAt([[0, 10], [0, 40]], 0), 10);
});

test("a stretch and the bars at its ends", () => {
  assert.deepEqual(stretchOf(1, 2, SCORE), { from: 500, to: 4500 });
  assert.deepEqual(endsOf({ from: 500, to: 4500 }, SCORE), [1, 2]);
  assert.ok(isWhole({ from: 0, to: 6500 }, SCORE));
  assert.ok(!isWhole({ from: 0, to: 4500 }, SCORE));
});

test("a loop set from a bar keeps its end, and to a bar its beginning, unless they would cross", () => {
  const loop = stretchOf(1, 2, SCORE);
  assert.deepEqual(loopedFrom(2, loop, SCORE), [2, 2]);
  assert.deepEqual(loopedFrom(0, loop, SCORE), [0, 2]);
  assert.deepEqual(loopedFrom(3, loop, SCORE), [3, 3]);
  assert.deepEqual(loopedTo(3, loop, SCORE), [1, 3]);
  assert.deepEqual(loopedTo(0, loop, SCORE), [0, 0]);
});

test("where the whole solo is played a loop begins as one bar", () => {
  const whole = { from: 0, to: 6500 };
  assert.deepEqual(loopedFrom(1, whole, SCORE), [1, 1]);
  assert.deepEqual(loopedTo(2, whole, SCORE), [2, 2]);
});

test("the choice of a stretch", () => {
  assert.equal(readStretch(""), null);
  assert.deepEqual(readStretch("1000 2500"), { from: 1000, to: 2500 });
});

test("bars by their numbers", () => {
  assert.deepEqual(barsNumbered(0, 2, SCORE), { first: 0, last: 2 });
  assert.match(barsNumbered(1, 9, SCORE).fault, /no bar of that number/);
  assert.match(barsNumbered(2, 1, SCORE).fault, /comes after the last/);
});
