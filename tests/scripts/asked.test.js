import assert from "node:assert/strict";
import test from "node:test";

import { asked, nameOf, stretchNamed } from "../../tabtools/website/assets/practice/asked.js";

const bar = (number, start, end, counts = 4) => ({ number, start, end, firstCount: 1, counts });
const score = { end: 9000, bars: [bar(1, 0, 2000), bar(2, 2000, 4000), bar(1, 4000, 6000), bar(3, 6000, 8000), bar(4, 8000, 9000, 0)] };

test("an address asks for bars, or counts of them, and a tempo", () => {
  assert.deepEqual(asked("b2-b3&tempo=50.5", score), { place: "", stretch: { from: 2000, to: 8000 }, pace: 50.5 });
  assert.deepEqual(asked("b1.3-b2.1", score), { place: "", stretch: { from: 1000, to: 2500 }, pace: null });
  assert.deepEqual(asked("b3.2&tempo=60", score), { place: "b3.2", stretch: null, pace: 60 });
  assert.deepEqual(asked("lesson-two", score), { place: "lesson-two", stretch: null, pace: null });
});

test("what is no stretch of this solo is none", () => {
  for (const name of ["b9-b10", "b3-b1", "b2", "b1-b2-b3", "b1-", "1-2", "b1.4-b1.2"]) {
    assert.equal(stretchNamed(name, score), null);
  }
  assert.equal(asked("b2&tempo=fast", score).pace, null);
});

test("a count that a bar does not have is the whole bar", () => {
  assert.deepEqual(stretchNamed("b1.7-b2.9", score), { from: 0, to: 4000 });
  assert.deepEqual(stretchNamed("b4.2-b4.2", score), { from: 8000, to: 9000 });
});

test("a stretch has a name, from which it is read again", () => {
  for (const [from, to, name] of [
    [2000, 4000, "b2-b2"],
    [1000, 2500, "b1.3-b2.1"],
    [6001, 7999, "b3-b3"],
    [8000, 9000, "b4-b4"],
  ]) {
    assert.equal(nameOf({ from, to }, score), name);
    const { from: begun, to: ended } = stretchNamed(name, score);
    assert.ok(Math.abs(begun - from) <= 3 && Math.abs(ended - to) <= 3);
  }
  assert.equal(nameOf({ from: 0, to: 9000 }, score), "");
});

test("a stretch within counts is widened to them", () => {
  assert.equal(nameOf({ from: 2600, to: 3100 }, score), "b2.2-b2.3");
});
