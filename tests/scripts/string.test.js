// The pitch of a voice on its way, and the samples that come of it.

import assert from "node:assert/strict";
import { test } from "node:test";

import { pitchOf, voiceSamples } from "../../tabtools/website/assets/practice/string.js";
import { readScore } from "../../tabtools/website/assets/records.js";

const voice = (duration, strikes, curve, ...more) =>
  readScore({ a4: 440, end: 1000, bars: [], voices: [[0, duration, strikes, curve, ...more]] }).voices[0];

const pitches = (one, times, rate = 1) => {
  const pitch = pitchOf(one, rate);
  return times.map((ms) => Math.round(pitch(ms)));
};

test("a jump is there at once", () => {
  const one = voice(400, [], [0, 6900, 0, 200, 7100, 0]);
  assert.deepEqual(pitches(one, [0, 199, 200, 400]), [6900, 6900, 7100, 7100]);
});

test("a glide is half way in the middle, and slow at its ends", () => {
  const one = voice(400, [], [0, 6900, 0, 100, 6900, 0, 300, 7100, 1]);
  assert.deepEqual(pitches(one, [50, 100, 150, 200, 250, 300]), [6900, 6900, 6929, 7000, 7071, 7100]);
});

test("a slide goes fret by fret", () => {
  const one = voice(400, [], [0, 6900, 0, 300, 7200, 2]);
  assert.deepEqual(pitches(one, [10, 99, 101, 199, 201, 300]), [6900, 6900, 7000, 7000, 7100, 7200]);
});

test("vibrato swings about the pitch, as fast at any tempo", () => {
  const one = voice(2000, [], [0, 6900, 0], [0, 2000, 40]);
  const quarter = 1000 / 5.4 / 4;
  assert.deepEqual(pitches(one, [5 * quarter, 6 * quarter]), [6940, 6900]);
  assert.deepEqual(pitches(one, [2.5 * quarter, 3 * quarter], 0.5), [6940, 6900]);
});

test("a dead note has no curve, and a pitch of its own", () => {
  assert.equal(pitchOf(voice(100, [0, 5, 45], []), 1)(0), 4500);
});

test("a tick has a pitch of its own too, is softer than a dead note and as short", () => {
  const [dead, tick] = [voice(50, [0, 5, 44], []), voice(50, [0, 8, 28], [])];
  assert.equal(pitchOf(tick, 1)(0), 8800);
  const loudest = (one) => Math.max(...voiceSamples(one, 1, 440, 44100).map(Math.abs));
  assert.ok(loudest(tick) > 0.001);
  assert.ok(loudest(tick) < loudest(dead));
});

test("samples last as long as the voice, by the tempo, and end in silence", () => {
  const one = voice(500, [0, 0, 80], [0, 6900, 0]);
  for (const rate of [1, 0.5]) {
    const samples = voiceSamples(one, rate, 440, 8000);
    assert.ok(Math.abs(samples.length - (500 / rate / 1000 + 0.03) * 8000) < 3);
    assert.ok(Math.max(...samples.map(Math.abs)) > 0.01);
    assert.ok(Math.abs(samples.at(-1)) < 1e-3);
  }
});

test("a string sounds at its pitch", () => {
  const samples = voiceSamples(voice(1000, [0, 0, 80], [0, 5700, 0]), 1, 440, 8000);
  let crossings = 0;
  for (let at = 4001; at < 8000; at += 1) crossings += samples[at - 1] < 0 && samples[at] >= 0;
  assert.ok(Math.abs(crossings - 110) <= 1, `${crossings} periods in half a second of 220 Hz`);
});

test("a swell begins in silence", () => {
  const swelled = voiceSamples(voice(500, [0, 0, 80], [0, 6900, 0], null, [0, 300]), 1, 440, 8000);
  const plain = voiceSamples(voice(500, [0, 0, 80], [0, 6900, 0]), 1, 440, 8000);
  const peak = (samples) => Math.max(...samples.slice(0, 400).map(Math.abs));
  assert.ok(peak(swelled) < peak(plain) / 10);
});

test("a slide to nowhere fades", () => {
  const faded = voiceSamples(voice(500, [0, 0, 80], [0, 6900, 0], null, null, 300), 1, 440, 8000);
  const plain = voiceSamples(voice(500, [0, 0, 80], [0, 6900, 0]), 1, 440, 8000);
  const power = (samples, from, to) => samples.slice(from, to).reduce((sum, one) => sum + one * one, 0);
  assert.equal(power(faded, 0, 2400), power(plain, 0, 2400));
  assert.ok(power(faded, 3600, 4000) < power(plain, 3600, 4000) / 4);
});
