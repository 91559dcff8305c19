// Where the bars and counts of a score lie.

/** The place in its list of the last bar that begins at or before a time. */
export function barAt(score, ms) {
  let [low, high] = [0, score.bars.length - 1];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (score.bars[middle].start <= ms) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** A moment of one version of a score in another: as far into the bar of the same number, or where the music ends.
 * `isEnd` is for a moment at which something ends, and which belongs to the bar before it. */
export function carriedOver(ms, before, after, isEnd = false) {
  const at = barAt(before, isEnd ? ms - 1 : ms);
  const { number, start, end } = before.bars[at];
  const turn = before.bars.slice(0, at).filter((bar) => bar.number === number).length;
  const same = after.bars.filter((bar) => bar.number === number)[turn];
  if (!same) return isEnd ? after.end : Math.min(ms, after.bars[after.bars.length - 1].start);
  return same.start + (end > start ? ((ms - start) / (end - start)) * (same.end - same.start) : 0);
}

/** Every count of the solo: when it is, and whether it is the first of its bar. */
export function countsOf(score) {
  return score.bars.flatMap(({ start, end, firstCount, counts }) =>
    Array.from({ length: counts }, (_, count) => ({
      at: start + (count * (end - start)) / counts,
      isFirst: firstCount + count === 1,
    })),
  );
}

/** One bar of counts and those of the begun bar, as milliseconds before the place that they lead to. */
export function countIn(score, place) {
  const at = barAt(score, place);
  const isCounted = (bar) => bar.counts > 0;
  const own = isCounted(score.bars[at]);
  const later = score.bars.findIndex((bar, index) => index >= at && isCounted(bar));
  const from = later < 0 ? score.bars.findLastIndex(isCounted) : later;
  if (from < 0) return [];
  const { start, end, firstCount, counts, meterCounts } = score.bars[from];
  const beat = (end - start) / counts;
  const origin = own ? start : place; // a bar out of time is counted in as if it began a bar
  const missing = own ? firstCount - 1 : 0;
  const clicks = [];
  for (let count = -(meterCounts + missing); origin + count * beat < place - 1; count += 1) {
    const number = ((missing + count) % meterCounts) + meterCounts;
    clicks.push({ before: place - origin - count * beat, isFirst: number % meterCounts === 0 });
  }
  return clicks;
}

/** A steady way through the score: milliseconds of the score to seconds of the context, and back. */
export function steadyWay(at, from, rate) {
  return {
    timeOf: (ms) => at + (ms - from) / 1000 / rate,
    placeAt: (time) => from + (time - at) * 1000 * rate,
  };
}

/** Seconds of a recording for milliseconds of the score, and back. Between two bars whose place in the recording is
 * written, time runs evenly; before the first and after the last, at the written tempo. */
export function marksOf(score) {
  const marks = score.bars
    .filter((bar) => bar.recordedAt !== undefined)
    .map((bar) => ({ ms: bar.start, seconds: bar.recordedAt / 1000 }));
  if (!marks.length) marks.push({ ms: 0, seconds: 0 });
  const along = (value, from, to, pace) => {
    let place = 0;
    while (place + 2 < marks.length && marks[place + 1][from] <= value) place += 1;
    const [one, other] = [marks[place], marks[place + 1]];
    const [first, last] = [marks[0], marks[marks.length - 1]];
    if (!other || value < first[from]) return first[to] + (value - first[from]) * pace;
    if (value > last[from]) return last[to] + (value - last[from]) * pace;
    return one[to] + ((value - one[from]) * (other[to] - one[to])) / (other[from] - one[from]);
  };
  return {
    secondsOf: (ms) => along(ms, "ms", "seconds", 1 / 1000),
    placeOf: (seconds) => along(seconds, "seconds", "ms", 1000),
  };
}

/** How far across a moment lies: `moments` are `[milliseconds, pixels]` in order, at least two; `steps` gives where
 * the last of them before it lies. */
export function acrossAt(moments, ms, steps = false) {
  let place = 0;
  while (place + 2 < moments.length && moments[place + 1][0] <= ms) place += 1;
  const [[since, left], [until, right]] = [moments[place], moments[place + 1]];
  return steps || until <= since ? left : left + (right - left) * Math.min(1, (ms - since) / (until - since));
}
