// What the bench says of changes, and where moments of one version of a score lie in another.

import assert from "node:assert/strict";
import { test } from "node:test";

import { barsNamed, summed } from "../../tabtools/website/assets/bench/panel.js";
import { carriedOver } from "../../tabtools/website/assets/practice/score.js";

const score = (...bars) => ({
  end: bars.at(-1)[2],
  bars: bars.map(([number, start, end]) => ({ number, start, end })),
});
const BEFORE = score([1, 0, 2000], [2, 2000, 4000], [2, 4000, 6000], [3, 6000, 8000]);

test("a moment stays as far into its bar, whichever bars come before and however long it is", () => {
  const after = score([0, 0, 500], [1, 500, 2500], [2, 2500, 6500], [2, 6500, 10500], [3, 10500, 12500]);
  const moments = [0, 1000, 2000, 3000, 4500, 7000].map((ms) => carriedOver(ms, BEFORE, after));
  assert.deepEqual(moments, [500, 1500, 2500, 4500, 7500, 11500]);
});

test("an end belongs to the bar before it", () => {
  const after = score([1, 0, 2000], [2, 3000, 4000], [2, 4000, 5000], [3, 6000, 8000]);
  assert.equal(carriedOver(2000, BEFORE, after), 3000);
  assert.equal(carriedOver(2000, BEFORE, after, true), 2000);
});

test("what is gone leads to the last bar, an end to the end", () => {
  const after = score([1, 0, 2000], [2, 2000, 4000]);
  assert.equal(carriedOver(6500, BEFORE, after), 2000);
  assert.equal(carriedOver(8000, BEFORE, after, true), 4000);
});

test("bars are named one by one, the pickup by its name", () => {
  assert.equal(barsNamed(["b5"]), "bar 5");
  assert.equal(barsNamed(["b0"]), "the pickup");
  assert.equal(barsNamed(["b5", "b6", "b9"]), "bars 5, 6 and 9");
});

test("what is wrong is counted", () => {
  assert.equal(summed({ error: 1, warning: 0, note: 2 }), "1 error, 2 notes");
  assert.equal(summed({ error: 0, warning: 0, note: 0 }), "");
});
