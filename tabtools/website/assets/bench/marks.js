// Marks of where bars begin in a recording, and the text that they make.

import { clock } from "../correction_form/patch.js";

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

/** The marks that a score does not have yet, to a tenth of a second, as they are written. */
export const stillToCopy = (marks, score) =>
  marks.filter(({ bar, seconds }) => {
    const { recordedAt } = score.bars.find(({ number }) => number === bar) ?? {};
    return recordedAt === undefined || clock(recordedAt / 1000) !== clock(seconds);
  });
