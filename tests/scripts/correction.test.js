// A reader's correction: what can be corrected, what keeps it from being sent, and the patch of it.

import assert from "node:assert/strict";
import { test } from "node:test";

import { faultOf, placesOf } from "../../tabtools/website/assets/correction_form/faults.js";
import {
  clock,
  compared,
  hunksOf,
  linesOf,
  patchOf,
  visible,
} from "../../tabtools/website/assets/correction_form/patch.js";
import { readWritten } from "../../tabtools/website/assets/records.js";

const TEXT = "title: Dusk\n\nbar 0\n4  3:5\n\nbar 1\n1-4  3:7\n\nbars 2-3 like 1\n";
const DATA = readWritten({
  opening: "Correction for transcriptions/dusk.solo",
  names: "--- a/transcriptions/dusk.solo\n+++ b/transcriptions/dusk.solo\n",
  text: TEXT,
  header: 1,
  bars: [
    [0, 2, 4],
    [1, 5, 7],
    [2, 8, 9, 1, 2, 3],
    [3, 8, 9, 1, 2, 3],
  ],
  longestLine: 40,
});
const [HEADER, PICKUP, FIRST, SECOND] = placesOf(DATA);

test("what can be corrected has names", () => {
  assert.deepEqual(
    placesOf(DATA).map(({ label }) => label),
    ["The header", "Bar 0, the pickup", "Bar 1", "Bar 2, like bar 1", "Bar 3, like bar 1"],
  );
  assert.equal(SECOND.lines, "Bars 2 to 3");
  assert.deepEqual(placesOf({ ...DATA, header: 0 }).map(({ bar }) => bar), [0, 1, 2, 3]);
});

const FAULTS = [
  [FIRST, "bar 1\n1-4  3:9", /^$/],
  [HEADER, "title: Dawn", /^$/],
  [PICKUP, "bar 0\n4  3:4", /^$/],
  [SECOND, "bars 2-3 like 1-1", /^$/],
  [FIRST, "# why\nbar 1\n1  3:9\nbar 7\n1-4 3:9", /^$/],
  [FIRST, " \n", /There is nothing left.*say so in a line that begins with #/],
  [HEADER, "", /^There is nothing left\. Write what should stand there\.$/],
  [FIRST, "bar 1\n1  3:\u202e9", /^Line 2, behind “1 {2}3:”, has a sign that cannot be seen.*\(U\+202E\)/],
  [FIRST, "\x07bar 1", /^Line 1 has a sign.*U\+0007/],
  [FIRST, `bar 1\n${"é".repeat(41)}`, /^Line 2 has 41 characters; the most is 40/],
  [FIRST, "bar 2\n1-4  3:9", /has to begin with “bar 1”/],
  [SECOND, "bar 9\n1-4  3:9", /has to begin with “bars 2-3”/],
  [FIRST, "bar 1\n1  3:9\nbar 1\n1  3:9", /^Bar 1 begins twice/],
  [FIRST, "bar 1\n1  3:9\nbar 3\n1  3:9", /^Bar 3 stands in another place/],
  [HEADER, "title: x\nbars 0-9 like 1", /^Bar 0 stands in another place/],
];

for (const [place, text, fault] of FAULTS) {
  test(`${place.label}: ${JSON.stringify(text).slice(0, 40)}`, () => assert.match(faultOf(place, text, DATA), fault));
}

test("lines end with newlines only", () => {
  assert.deepEqual(linesOf("a\n\u2028b\r\nc"), ["a\n", "\u2028b\r\n", "c"]);
  assert.deepEqual(linesOf(""), []);
});

test("compared texts give both back", () => {
  const [old, now] = [["a", "b", "c", "d", "e"], ["a", "c", "x", "e", "e"]];
  const rows = compared(old, now);
  const side = (sign) => rows.filter(([how]) => how === " " || how === sign).map(([, line]) => line);
  assert.deepEqual(side("-"), old);
  assert.deepEqual(side("+"), now);
  assert.equal(rows.filter(([how]) => how === " ").length, 3);
});

test("a hunk has three lines around a change, and counts from 1", () => {
  const lines = Array.from({ length: 9 }, (_, at) => `${at}\n`);
  const now = lines.with(4, "x\n");
  assert.deepEqual(hunksOf(lines, now), ["@@ -2,7 +2,7 @@", " 1", " 2", " 3", "-4", "+x", " 5", " 6", " 7"]);
  assert.deepEqual(hunksOf([], ["new\n"]), ["@@ -0,0 +1,1 @@", "+new"]);
  assert.deepEqual(hunksOf(["old"], []), ["@@ -1,1 +0,0 @@", "-old", "\\ No newline at end of file"]);
});

test("changes far apart are two hunks, near ones are one", () => {
  const lines = Array.from({ length: 20 }, (_, at) => `${at}\n`);
  const heads = (...changed) =>
    hunksOf(lines, changed.reduce((now, at) => now.with(at, "x\n"), lines)).filter((line) => line.startsWith("@@"));
  assert.equal(heads(2, 8).length, 1);
  assert.equal(heads(2, 12).length, 2);
});

test("a patch says who, where and why", () => {
  const said = { credit: " Nell\n Quayle ", at: "0:42", reason: "I hear it.\n\nReally.\x1b" };
  const patch = patchOf(DATA, TEXT.replace("3:7", "3:9"), said);
  assert.deepEqual(patch.split("\n").slice(0, 8), [
    "Correction for transcriptions/dusk.solo",
    "Suggested-by: Nell Quayle",
    "Recording: 0:42",
    "Reason: I hear it.",
    " ",
    " Really.␛",
    "",
    "--- a/transcriptions/dusk.solo",
  ]);
  assert.ok(patch.endsWith("\n") && patch.includes("\n-1-4  3:7\n+1-4  3:9\n"));
});

test("what is not said is left out", () => {
  const patch = patchOf(DATA, TEXT, { credit: "", at: " ", reason: "\n" });
  assert.match(patch, /^Correction for [^\n]*\n\n--- a/);
});

test("a time of a recording", () => {
  assert.deepEqual([0, 9.96, 42.3, 61, 3723.45].map(clock), ["0:00", "0:10", "0:42.3", "1:01", "1:02:03.5"]);
});

test("nothing that a terminal obeys is shown", () => {
  assert.equal(visible("a\tb\x1b\x7f\u202e\ud800"), "a␉b␛␡\ufffd\ufffd");
});
