// What the bench says of changes, and where moments of one version of a score lie in another.

import assert from "node:assert/strict";
import { test } from "node:test";

import { barsNamed } from "../../tabtools/website/assets/bench/bars_named.js";
import { between, markLines, ofRepeated, stillToCopy, withMarks } from "../../tabtools/website/assets/bench/marks.js";
import { summed } from "../../tabtools/website/assets/bench/panel.js";
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
  assert.equal(summed({ error: 1, warning: 0, note: 2 }), "1 error, 2 remarks");
  assert.equal(summed({ error: 0, warning: 0, note: 0 }), "");
});

const TEXT = "title: A\n\nbar 1  Am  # first\n1-4  3:7\n\nbar 2  at 0:03.5  # at last\n1-4  3:7\n\nbar 12  Am\n1-4  3:7\n";
const MARKS = [
  { bar: 1, seconds: 1.04 },
  { bar: 2, seconds: 63.26 },
  { bar: 3, seconds: 65 },
];

test("marks as bar lines: what a bar has stays, new bars are empty", () => {
  assert.equal(
    markLines(MARKS, TEXT, 4),
    "bar 1  Am  at 0:01  # first\n\nbar 2  at 1:03.3  # at last\n\nbar 3  at 1:05\n1-4  .\n",
  );
  assert.equal(markLines(MARKS.slice(2), "", 1), "bar 3  at 1:05\n1  .\n");
});

test("a solo with its marks", () => {
  assert.equal(
    withMarks(MARKS, TEXT, 4),
    "title: A\n\nbar 1  Am  at 0:01  # first\n1-4  3:7\n\nbar 2  at 1:03.3  # at last\n1-4  3:7\n\n" +
      "bar 12  Am\n1-4  3:7\n\nbar 3  at 1:05\n1-4  .\n",
  );
});

test("what lies between two marks, or since the last one", () => {
  assert.deepEqual(between(MARKS, 2), { from: 1.04, to: 63.26 });
  assert.deepEqual(between(MARKS, 70), { from: 65, to: 70 });
  assert.equal(between(MARKS, 1), null);
});

test("marks that are written in the score need not be copied again", () => {
  const bars = [{ number: 1, recordedAt: 1000 }, { number: 2, recordedAt: 63000 }, { number: 3 }];
  assert.deepEqual(stillToCopy(MARKS, { bars }), MARKS.slice(1));
});

test("a bar that repeats another can have no time: its mark keeps nobody waiting, and what to do is said", () => {
  const bars = [{ number: 1, recordedAt: 1000 }, { number: 2, recordedAt: 63300 }, { number: 3 }];
  assert.deepEqual(stillToCopy(MARKS, { bars }, [{ number: 3, repeats: 1 }]), []);
  assert.deepEqual(stillToCopy(MARKS, { bars }, [{ number: 3 }]), MARKS.slice(2));
  assert.equal(ofRepeated([]), "");
  assert.equal(ofRepeated([3]), "Bar 3 repeats another and can have no time: write it out if it needs one.");
  assert.equal(ofRepeated([3, 4]), "Bars 3 and 4 repeat others and can have no time: write them out if they need one.");
});
