// A text and what became of it, as a patch that git takes.

const CONTEXT = 3;
const LARGEST_TABLE = 1000000; // cells in which two stretches of lines are compared
const NO_NEWLINE = "\\ No newline at end of file";
export const HIDDEN =
  /[\0-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]|\p{Surrogate}/u;
const ALL_HIDDEN = new RegExp(HIDDEN.source, "gu");
const LINE_END = /\r\n|[\n\r\v\f\x1c-\x1e\x85\u2028\u2029]/;
const SPACE = /[\s\x1c-\x1f\x85]+/;
const EDGES = /^[\s\x1c-\x1f\x85]+|[\s\x1c-\x1f\x85]+$/g;

/** Lines with their newlines; only a newline ends one. */
export const linesOf = (text) => text.match(/[^\n]*\n|[^\n]+$/g) ?? [];

const sign = (control) => {
  const code = control.codePointAt(0);
  return code < 0x20 ? String.fromCodePoint(0x2400 + code) : code === 0x7f ? "\u2421" : "\ufffd";
};

/** Text without anything that a terminal would obey. */
export const visible = (text) => text.replaceAll("\t", "\u2409").replace(ALL_HIDDEN, sign);

const stripped = (text) => text.split(SPACE).filter(Boolean).join(" ");

/** Several lines as the first and those that go on, each with a space before it. */
const folded = (text) =>
  text
    .replace(EDGES, "")
    .split(LINE_END)
    .map((line) => visible(line).replace(EDGES, ""))
    .join("\n ");

export const clock = (seconds) => {
  const tenths = Math.round(seconds * 10);
  const [minutes, rest] = [Math.floor(tenths / 600), tenths % 600];
  const text = `${String(Math.floor(rest / 10)).padStart(2, "0")}${rest % 10 ? `.${rest % 10}` : ""}`;
  const hours = Math.floor(minutes / 60);
  return hours ? `${hours}:${String(minutes % 60).padStart(2, "0")}:${text}` : `${minutes}:${text}`;
};

/** Both texts line by line: `[" ", line]` in both, `["-", line]` in the old one, `["+", line]` in the new one. */
export const compared = (old, now) => {
  let first = 0;
  while (first < Math.min(old.length, now.length) && old[first] === now[first]) first += 1;
  let after = 0;
  const shorter = Math.min(old.length, now.length) - first;
  while (after < shorter && old[old.length - 1 - after] === now[now.length - 1 - after]) after += 1;
  const kept = (line) => [" ", line];
  return [
    ...old.slice(0, first).map(kept),
    ...changed(old.slice(first, old.length - after), now.slice(first, now.length - after)),
    ...old.slice(old.length - after).map(kept),
  ];
};

const changed = (old, now) => {
  const width = now.length + 1;
  const rows = [];
  let [i, j] = [0, 0];
  if (old.length * now.length <= LARGEST_TABLE) {
    const common = new Uint32Array((old.length + 1) * width);
    for (let one = old.length - 1; one >= 0; one -= 1) {
      for (let other = now.length - 1; other >= 0; other -= 1) {
        const here = one * width + other;
        const best = Math.max(common[here + width], common[here + 1]);
        common[here] = old[one] === now[other] ? common[here + width + 1] + 1 : best;
      }
    }
    while (i < old.length && j < now.length) {
      if (old[i] === now[j]) {
        rows.push([" ", old[i]]);
        i += 1;
        j += 1;
      } else if (common[(i + 1) * width + j] >= common[i * width + j + 1]) rows.push(["-", old[i++]]);
      else rows.push(["+", now[j++]]);
    }
  }
  return [...rows, ...old.slice(i).map((line) => ["-", line]), ...now.slice(j).map((line) => ["+", line])];
};

/** The changed lines with those around them, as git reads them. */
export const hunksOf = (old, now) => {
  const rows = compared(old, now);
  const stretches = [];
  rows.forEach(([how], at) => {
    if (how === " ") return;
    const last = stretches.at(-1);
    if (last && at - CONTEXT <= last[1]) last[1] = at + CONTEXT + 1;
    else stretches.push([Math.max(0, at - CONTEXT), at + CONTEXT + 1]);
  });
  const counted = (some, without) => some.filter(([how]) => how !== without).length;
  const range = (start, count) => `${count ? start + 1 : start},${count}`;
  return stretches.flatMap(([start, end]) => {
    const own = rows.slice(start, end);
    const [oldAt, newAt] = ["+", "-"].map((without) => counted(rows.slice(0, start), without));
    const head = `@@ -${range(oldAt, counted(own, "+"))} +${range(newAt, counted(own, "-"))} @@`;
    const lines = own.flatMap(([how, line]) =>
      line.endsWith("\n") ? [how + line.slice(0, -1)] : [how + line, NO_NEWLINE],
    );
    return [head, ...lines];
  });
};

/** The patch from the text as it is to another one. */
export const patchOf = (data, text, { credit, at, reason }) => {
  const said = [
    ["Suggested-by", visible(stripped(credit))],
    ["Recording", visible(stripped(at))],
    ["Reason", folded(reason)],
  ];
  const head = said.filter(([, words]) => words).map(([name, words]) => `${name}: ${words}`);
  const lines = [data.opening, ...head, "", data.names + hunksOf(linesOf(data.text), linesOf(text)).join("\n")];
  return `${lines.join("\n")}\n`;
};
