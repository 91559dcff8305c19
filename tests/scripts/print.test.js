// Which bars a link to a passage names.

import assert from "node:assert/strict";
import { test } from "node:test";

import { barsOf } from "../../tabtools/website/assets/study/print_passage.js";

test("a passage is whole bars on paper", () => {
  assert.deepEqual(barsOf("#b5-b8"), ["5", "8"]);
  assert.deepEqual(barsOf("#b5.2-b8.1.2"), ["5", "8"]);
  assert.deepEqual(barsOf("#b5"), ["5", "5"]);
  assert.equal(barsOf("#lesson"), null);
  assert.equal(barsOf(""), null);
});
