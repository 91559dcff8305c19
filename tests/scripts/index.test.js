// The index: what a field lets stand, the order of rows, figures as they are written and found. And what addresses say.

import assert from "node:assert/strict";
import { test } from "node:test";

import { addressOf, askedOf } from "../../tabtools/website/assets/index/address.js";
import { blocksWith, longestFound, readFigure, startsOf } from "../../tabtools/website/assets/index/figures.js";
import { filterOf, orderBy, turnedTo } from "../../tabtools/website/assets/index/filters.js";
import { anchorOf, counted } from "../../tabtools/website/assets/page.js";
import { readFigures, readPlaces, readRuns } from "../../tabtools/website/assets/records.js";
import { foldersAbove } from "../../tabtools/website/assets/wrong_address.js";

const row = (dataset) => ({ dataset });
const ROWS = [
  row({ title: "Dusk 10", key: "A minor", tempo: "126", reach: "", technique: "bend hammer-on", chord: "m7 maj" }),
  row({ title: "dusk 9", key: "A major", tempo: "92.5", reach: "110", technique: "hammer-on", chord: "7" }),
  row({ title: "Ebb", key: "", tempo: "60", reach: "95", technique: "", chord: "" }),
];
const WORDS = new Map(ROWS.map((one) => [one, one.dataset.title.toLowerCase()]));
const left = (field, value) => ROWS.filter(filterOf(field, value, WORDS)).map((one) => one.dataset.title);

test("words are looked for one by one", () => {
  assert.deepEqual(left("words", " 9  DUSK "), ["dusk 9"]);
  assert.deepEqual(left("words", "s"), ["Dusk 10", "dusk 9"]);
});

test("a number has a least and a most", () => {
  assert.deepEqual(left("tempo-from", "92.5"), ["Dusk 10", "dusk 9"]);
  assert.deepEqual(left("tempo-to", "92.5"), ["dusk 9", "Ebb"]);
});

test("a list holds whole names", () => {
  assert.deepEqual(left("technique", "hammer-on"), ["Dusk 10", "dusk 9"]);
  assert.deepEqual(left("chord", "m"), []);
});

test("a text is the same or not", () => assert.deepEqual(left("key", "A minor"), ["Dusk 10"]));

test("rows are in the order of numbers and of the alphabet, those without a fact last", () => {
  const titles = (fact, upwards) => [...ROWS].sort(orderBy(fact, upwards)).map((one) => one.dataset.title);
  assert.deepEqual(titles("title", true), ["dusk 9", "Dusk 10", "Ebb"]);
  assert.deepEqual(titles("tempo", true), ["Ebb", "dusk 9", "Dusk 10"]);
  assert.deepEqual(titles("tempo", false), ["Dusk 10", "dusk 9", "Ebb"]);
  assert.deepEqual(titles("reach", true), ["Ebb", "dusk 9", "Dusk 10"]);
  assert.deepEqual(titles("reach", false), ["dusk 9", "Ebb", "Dusk 10"]);
});

const READ = [
  ["degrees", "b3 5 b7", [3, 7, 10]],
  ["degrees", "♭3, ♯11 bb7", [3, 6, 9]],
  ["degrees", "1 8 13", [0, 0, 9]],
  ["degrees", "b1 bb2 #7", [11, 0, 0]],
  ["steps", "3 -1 −4 +0.5", [6, -2, -8, 1]],
];
for (const [kind, text, values] of READ) {
  test(`${kind} ${text}`, () => assert.deepEqual(readFigure(kind, text), { values, wrong: undefined, isShort: false }));
}

test("what cannot be read is named", () => {
  assert.equal(readFigure("degrees", "b3 14 x").wrong, "14");
  assert.equal(readFigure("degrees", "b3 h").wrong, "h");
  assert.equal(readFigure("steps", "3 0.3").wrong, "0.3");
});

test("a figure can be too short", () => {
  assert.ok(readFigure("degrees", "b3").isShort);
  assert.ok(!readFigure("steps", "3").isShort);
  assert.ok(readFigure("steps", " ").isShort);
});

const [SOLO] = readFigures([["dusk.html", "Dusk", [null, 2, -4, 2, -4], [0, 3, 7, 3, 7], "1.1 2 1.3 1 2.1 2"]]);

test("places are where the first stroke of a figure is", () => {
  assert.deepEqual(startsOf("degrees", [3, 7], SOLO), [1, 3]);
  assert.deepEqual(startsOf("steps", [2, -4], SOLO), [0, 2]);
  assert.deepEqual(startsOf("steps", [null], SOLO), []);
  assert.deepEqual(readPlaces(SOLO.places), ["1.1.1", "1.1.2", "1.3.1", "2.1.1", "2.1.2"]);
});

test("the longest beginning that is found", () => {
  assert.deepEqual(longestFound("degrees", [3, 7, 11, 0], [SOLO]), { length: 2, count: 2 });
  assert.equal(longestFound("degrees", [11, 0, 1], [SOLO]), null);
  const known = { blocks: 5, degrees: { "3 7": "0-3", "7 11": "2 4" }, steps: {} };
  assert.deepEqual(blocksWith("degrees", [3, 7, 11], known), [2]);
  assert.deepEqual(blocksWith("degrees", [3, 6], known), []);
  assert.deepEqual(blocksWith("steps", [2], known), [0, 1, 2, 3, 4]);
});

test("runs of numbers", () => assert.deepEqual(readRuns("3-5 9"), [3, 4, 5, 9]));

test("an address leads to an id, whatever is written behind its #", () => {
  assert.equal(anchorOf("#b5.2.1"), "b5.2.1");
  assert.equal(anchorOf("#d%C3%A4mmern"), "dämmern");
  assert.equal(anchorOf("#%"), "");
  assert.equal(anchorOf(""), "");
});

test("one solo, two solos", () => assert.deepEqual([0, 1, 2].map((count) => counted(count, "solo")), ["0 solos", "1 solo", "2 solos"]));

test("what is asked for stands in the address and is read out of it", () => {
  const asked = new Map([["key", "C♯ minor"], ["words", ""], ["tempo-from", "100"], ["sort", "-tempo"]]);
  const address = addressOf(asked);
  assert.equal(address, "#key=C%E2%99%AF+minor&tempo-from=100&sort=-tempo");
  asked.delete("words");
  assert.deepEqual(askedOf(address), asked);
  assert.equal(addressOf(new Map([["key", ""]])), "");
});

test("an address of a place asks for nothing", () => assert.equal(askedOf("#figures").size, 0));

test("what fits is turned page by page, and never beyond its ends", () => {
  const rows = Array.from({ length: 120 }, (_, at) => at);
  assert.deepEqual(turnedTo(2, rows), { page: 2, last: 3, rows: rows.slice(50, 100) });
  assert.deepEqual(turnedTo(9, rows), { page: 3, last: 3, rows: rows.slice(100) });
  assert.deepEqual(turnedTo(-1, []), { page: 1, last: 1, rows: [] });
});

test("folders above an address, the nearest first", () =>
  assert.deepEqual(foldersAbove("/a/b/c.html"), ["/a/b/", "/a/", "/"]));
