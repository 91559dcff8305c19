// A loop and a tempo as an address asks for them: `b11-b12.3&tempo=50`, bars with their counts, counts a minute.

import { barAt } from "./score.js";
import { isWhole } from "./stretch.js";

const NEAR = 3; // milliseconds by which a moment may miss its count, all of them being rounded
const END = /^b(\d+)(?:\.(\d+))?$/;
const TEMPO = /^tempo=(\d+(?:\.\d+)?)$/;

/** What the end of an address asks for, from behind its `#`: the id of a place, or a stretch, and a tempo, if any. */
export const asked = (text, score) => {
  const [place, ...more] = text.split("&");
  const pace = more.map((one) => TEMPO.exec(one)).find(Boolean);
  const stretch = stretchNamed(place, score);
  return { place: stretch ? "" : place, stretch, pace: pace ? Number(pace[1]) : null };
};

/** The stretch of a name such as `b11-b12.3`: from the beginning of its first place to the end of its last. */
export const stretchNamed = (name, score) => {
  const ends = name.split("-").map((one) => END.exec(one));
  if (ends.length !== 2 || !ends.every(Boolean)) return null;
  const [[, first, firstCount], [, last, lastCount]] = ends;
  const begun = score.bars.findIndex(({ number }) => number === Number(first));
  const ended = score.bars.findIndex(({ number }, at) => at >= begun && number === Number(last));
  if (begun < 0 || ended < 0) return null;
  const from = momentOf(score.bars[begun], firstCount, 0) ?? score.bars[begun].start;
  const to = momentOf(score.bars[ended], lastCount, 1) ?? score.bars[ended].end;
  return from < to ? { from, to } : null;
};

/** The name of a stretch, widened to whole counts; empty for the whole solo. */
export const nameOf = (stretch, score) => {
  if (isWhole(stretch, score)) return "";
  const [first, last] = [barAt(score, stretch.from), barAt(score, stretch.to - 1)].map((at) => score.bars[at]);
  const counted = (bar, ms, round) => bar.firstCount + round(((ms - bar.start) * bar.counts) / (bar.end - bar.start));
  let [from, to] = [`b${first.number}`, `b${last.number}`];
  if (first.counts && stretch.from > first.start + NEAR) from += `.${counted(first, stretch.from + NEAR, Math.floor)}`;
  if (last.counts && stretch.to < last.end - NEAR) to += `.${counted(last, stretch.to - NEAR, Math.ceil) - 1}`;
  return `${from}-${to}`;
};

/** When a count of a bar begins, or the one `after` it; undefined where the bar has no such count. */
const momentOf = ({ start, end, firstCount, counts }, count, after) => {
  const at = Number(count) - firstCount;
  return at >= 0 && at < counts ? start + ((at + after) * (end - start)) / counts : undefined;
};
