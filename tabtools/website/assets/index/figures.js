// Figures as readers write them, and where they are in a solo.

import { readRuns } from "../records.js";

const LETTERS = { 1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 8: 0, 9: 2, 10: 4, 11: 5, 12: 7, 13: 9 };

/** `b3` as semitones above the root, null if it is none. */
const degreeOf = (word) => {
  const [, signs, number] = /^((?:bb|b|#|♭♭|♭|♯)?)(\d{1,2})$/.exec(word) ?? [];
  if (!(number in LETTERS)) return null;
  const moved = [...signs].reduce((sum, sign) => sum + (sign === "b" || sign === "♭" ? -1 : 1), 0);
  return (LETTERS[number] + moved + 12) % 12;
};

/** `3` as quarter tones, null if it is no interval. */
const stepOf = (word) => (/^[+\-−]?\d{1,2}(\.[05])?$/.test(word) ? 2 * Number(word.replace("−", "-")) : null);

/** The ways of looking, by the field of a solo that is looked through: how a word is read, how few words will do, and
 * the first stroke that has a value. */
const WAYS = {
  degrees: { read: degreeOf, fewest: 2, first: 0 },
  steps: { read: stepOf, fewest: 1, first: 1 },
};

/** What was written, as a figure; `wrong` is the first word that cannot be read, `isShort` a figure too short. */
export const readFigure = (kind, text) => {
  const words = text.replace(/,/g, " ").split(/\s+/).filter(Boolean);
  const values = words.map(WAYS[kind].read);
  return { values, wrong: words[values.indexOf(null)], isShort: values.length < WAYS[kind].fewest };
};

/** The first strokes of all places of a solo at which a figure stands. */
export const startsOf = (kind, values, solo) => {
  const found = [];
  const { first } = WAYS[kind];
  const column = solo[kind];
  for (let at = first; at + values.length <= column.length; at += 1) {
    if (values.every((wanted, place) => column[at + place] === wanted)) found.push(at - first);
  }
  return found;
};

/** The blocks of solos in which a figure may stand, by what is known of them: those that have all its pairs of values. */
export const blocksWith = (kind, values, known) => {
  let blocks = Array.from({ length: known.blocks }, (_, place) => place);
  for (let at = 0; at + 1 < values.length; at += 1) {
    const having = new Set(readRuns(known[kind][`${values[at]} ${values[at + 1]}`] ?? ""));
    blocks = blocks.filter((place) => having.has(place));
  }
  return blocks;
};

/** The longest beginning of a figure that is found: its length, and how often; null if there is none. */
export const longestFound = (kind, values, solos) => {
  for (let length = values.length - 1; length >= WAYS[kind].fewest; length -= 1) {
    const part = values.slice(0, length);
    const count = solos.reduce((sum, solo) => sum + startsOf(kind, part, solo).length, 0);
    if (count) return { length, count };
  }
  return null;
};
