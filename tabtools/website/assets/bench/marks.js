// Marks of where bars begin in a recording, and the text that they make.

import { clock } from "../correction_form/patch.js";
import { barsNamed } from "./bars_named.js";

const AT = /[ \t]+at[ \t]+[\d:.]+(?=[ \t]|$)/;

/** The line of a bar with a time; one that it had is replaced, a comment stays behind it. */
const timed = (line, seconds) => {
  const [, items, comment] = line.replace(AT, "").match(/^(.*?)([ \t]+#.*)?$/);
  return `${items.trimEnd()}  at ${clock(seconds)}${comment ?? ""}`;
};

const lineOf = (bar) => new RegExp(`^bar[ \\t]+${bar}(?![\\d]).*$`, "m");

/** A new bar in which nothing is written yet, of so many counts. */
const empty = (bar, seconds, counts) => `bar ${bar}  at ${clock(seconds)}\n${counts > 1 ? `1-${counts}` : "1"}  .\n`;

/** Marks `{ bar, seconds }` as bar lines to be pasted. Bars that the solo does not have yet are written as empty ones. */
export const markLines = (marks, text, counts) =>
  marks
    .map(({ bar, seconds }) => {
      const [line] = text.match(lineOf(bar)) ?? [];
      return line === undefined ? empty(bar, seconds, counts) : `${timed(line, seconds)}\n`;
    })
    .join("\n");

/** The text of a solo with all marks; new bars come behind its last one. */
export const withMarks = (marks, text, counts) =>
  marks.reduce((made, { bar, seconds }) => {
    if (lineOf(bar).test(made)) return made.replace(lineOf(bar), (line) => timed(line, seconds));
    return `${made.trimEnd()}\n\n${empty(bar, seconds, counts)}`;
  }, text);

/** The seconds between which a moment lies: the last mark before it, and the next, or the moment itself. */
export const between = (marks, seconds) => {
  const before = marks.findLast((mark) => mark.seconds <= seconds);
  const next = marks.find((mark) => mark.seconds > seconds);
  return before ? { from: before.seconds, to: next?.seconds ?? seconds } : null;
};

/** Whether a bar, by its number, is one that `bars … like` repeats: such a line takes no time. */
export const repeats = (bar, written) => written.some((one) => one.number === bar && one.repeats !== undefined);

/** What becomes of marks in bars that repeat others; empty where there are none. */
export const ofRepeated = (bars) => {
  if (!bars.length) return "";
  const named = barsNamed(bars.map((bar) => `b${bar}`));
  const [verb, them, need] = bars.length > 1 ? ["repeat", "them", "they need"] : ["repeats", "it", "it needs"];
  const others = bars.length > 1 ? "others" : "another";
  return `${named[0].toUpperCase()}${named.slice(1)} ${verb} ${others} and can have no time: write ${them} out if ${need} one.`;
};

/** The marks that a score does not have yet, to a tenth of a second, as they are written; `written` are its bars. */
export const stillToCopy = (marks, score, written = []) =>
  marks.filter(({ bar, seconds }) => {
    if (repeats(bar, written)) return false;
    const { recordedAt } = score.bars.find(({ number }) => number === bar) ?? {};
    return recordedAt === undefined || clock(recordedAt / 1000) !== clock(seconds);
  });
