import assert from "node:assert/strict";
import test from "node:test";

import { partTold } from "../../tabtools/website/assets/study/lesson.js";

const whole = { from: 0, to: 90 };
const bar = { from: 10, to: 20 };
const note = { from: 12, to: 12 };

test("what speaks most closely of a note is told", () => {
  assert.equal(partTold([whole, bar, note], 12), note);
  assert.equal(partTold([note, bar, whole], 13), bar);
  assert.equal(partTold([bar, whole], 50), whole);
});

test("of two as close the first is told, and nothing where nothing speaks of the note", () => {
  const other = { from: 10, to: 20 };
  assert.equal(partTold([bar, other], 15), bar);
  assert.equal(partTold([bar, note], 50), null);
  assert.equal(partTold([], 0), null);
});
