import assert from "node:assert/strict";
import test from "node:test";

import { dronePitches, heldChords } from "../../tabtools/website/assets/practice/drone.js";
import { risen } from "../../tabtools/website/assets/practice/rising.js";

test("a drone is the root, its fifth and its octave, or the whole chord", () => {
  assert.deepEqual(dronePitches({ tones: [9, 0, 4] }, "fifth"), [45, 52, 57]); // A minor
  assert.deepEqual(dronePitches({ tones: [8, 11, 2, 6] }, "fifth"), [56, 62, 68]); // G#m7b5, whose fifth is diminished
  assert.deepEqual(dronePitches({ tones: [0, 4, 7, 11] }, "chord"), [48, 52, 55, 59, 60]);
  assert.deepEqual(dronePitches({ tones: [4] }, "fifth"), [52, 59, 64]);
  assert.deepEqual(dronePitches({ tones: [] }, "chord"), []);
});

test("every chord is held once, from where the music begins to where the chord ends", () => {
  const chords = [{ at: 0, end: 2000 }, { at: 2000, end: 3000 }, { at: 3000, end: 9000 }];
  const held = (...ends) => heldChords(chords, ...ends).map(({ from, to }) => [from, to]);
  assert.deepEqual(held(500, 1200, true), [[500, 2000]]);
  assert.deepEqual(held(1200, 2500, false), [[2000, 3000]]);
  assert.deepEqual(held(2500, 3000, false), []);
  assert.deepEqual(held(0, 9000, true), [[0, 2000], [2000, 3000], [3000, 9000]]);
});

test("a tempo rises after every few turns and stops at its goal", () => {
  const rising = { by: 0.1, every: 2, goal: 0.75 };
  let rate = 0.5;
  const rates = [1, 2, 3, 4, 5, 6, 7, 8].map((turns) => (rate = Number(risen(rate, turns, rising).toFixed(3))));
  assert.deepEqual(rates, [0.5, 0.6, 0.6, 0.7, 0.7, 0.75, 0.75, 0.75]);
  assert.equal(risen(0.9, 2, rising), 0.9);
});
