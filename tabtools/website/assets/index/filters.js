// Which rows of the index a field of its form lets stand, and in which order they are. A row has its facts in `dataset`.

import { FACTS } from "../records.js";

/** A test of a row for what was written into a field; `words` has the words of each row. */
export const filterOf = (field, value, words) => {
  if (field === "words") {
    const wanted = value.toLowerCase().split(/\s+/).filter(Boolean);
    return (row) => wanted.every((word) => words.get(row).includes(word));
  }
  const [fact, end] = field.split("-");
  if (FACTS[fact] === "number") {
    return (row) => (end === "from" ? Number(row.dataset[fact]) >= value : Number(row.dataset[fact]) <= value);
  }
  if (FACTS[fact] === "list") return (row) => row.dataset[fact].split(" ").includes(value);
  return (row) => row.dataset[fact] === value;
};

/** The order of two rows by a fact, numbers by their size; those without it come last, either way. */
export const orderBy = (fact, upwards) => {
  const order = new Intl.Collator(undefined, { numeric: true, sensitivity: "base" }).compare;
  const sign = upwards ? 1 : -1;
  const value = (row) => row.dataset[fact];
  return (one, other) => !value(one) - !value(other) || sign * order(value(one), value(other));
};

const PAGE = 50;

/** A page of what fits, the nearest to the one asked for: its rows, its number, and that of the last. */
export const turnedTo = (page, rows) => {
  const last = Math.max(1, Math.ceil(rows.length / PAGE));
  const at = Math.min(Math.max(1, page), last);
  return { page: at, last, rows: rows.slice((at - 1) * PAGE, at * PAGE) };
};
