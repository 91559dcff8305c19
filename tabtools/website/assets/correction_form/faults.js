// What can be corrected, and what keeps a correction from being worth sending.

import { HIDDEN } from "./patch.js";

const BAR_LINE = /^[ \t]*bars?[ \t]+(\d{1,6})(?:-(\d{1,6}))?(?=\s|$)/;
const MOST_BARS = 4000;

/** What can be corrected: some lines of the text. Repeated bars share theirs. */
export const placesOf = (data) => {
  const bars = data.bars.map(({ number, start, end, repeats, first = number, last = number }, bar) => {
    const name = number ? `Bar ${number}` : "Bar 0, the pickup";
    const label = repeats === undefined ? name : `${name}, like bar ${repeats}`;
    const lines = first === last ? name : `Bars ${first} to ${last}`;
    return { label, lines, number, start, end, repeats, first, last, bar };
  });
  const header = { label: "The header", lines: "The header", start: 0, end: data.header, bar: -1 };
  return data.header ? [header, ...bars] : bars;
};

/** What keeps a text from being worth sending, in words; nothing where it can be sent. */
export const faultOf = (place, text, data) => {
  if (!text.trim()) {
    const whole = " If the whole bar should go, go back to how it was and say so in a line that begins with #.";
    return `There is nothing left. Write what should stand there.${place.bar < 0 ? "" : whole}`;
  }
  const lines = text.split("\n");
  for (const [at, line] of lines.entries()) {
    const found = line.match(HIDDEN);
    if (found) {
      const code = found[0].codePointAt(0).toString(16).toUpperCase().padStart(4, "0");
      const before = line.slice(0, found.index).slice(-12);
      const where = before ? `, behind “${before}”,` : "";
      return `Line ${at + 1}${where} has a sign that cannot be seen and is not allowed (U+${code}). Delete it there.`;
    }
    const [length, most] = [[...line].length, data.longestLine];
    if (length > most) return `Line ${at + 1} has ${length} characters; the most is ${most}. Make two lines of it.`;
  }
  return numberFault(place, lines, data);
};

/** The bars that a text speaks of have to be those that were chosen, or such as are nowhere yet. */
const numberFault = ({ bar, first, last }, lines, data) => {
  const isBar = bar >= 0;
  const named = lines.map((line) => line.match(BAR_LINE));
  const opening = named[lines.findIndex((line) => line.trim() && !line.trim().startsWith("#"))];
  if (isBar && Number(opening?.[1]) !== first) {
    const said = first === last ? `bar ${first}` : `bars ${first}-${last}`;
    return `The first line has to begin with “${said}”, as it did: that is what you chose.`;
  }
  const known = new Set(data.bars.map(({ number }) => number));
  const seen = new Set();
  for (const [, from, to = from] of named.filter(Boolean)) {
    for (let number = Number(from); number <= Math.min(Number(to), Number(from) + MOST_BARS); number += 1) {
      if (seen.has(number)) return `Bar ${number} begins twice. Leave one of them.`;
      seen.add(number);
      const isOwn = isBar && first <= number && number <= last;
      if (!isOwn && known.has(number)) {
        return `Bar ${number} stands in another place of the solo. Choose it there, and take it out here.`;
      }
    }
  }
  return "";
};
