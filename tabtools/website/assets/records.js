// What Python writes into a page for its scripts, read: packed records become objects with named fields, once, here.
// The other side is tabtools/website/records.py; a test holds the lists of fields together.

export const BAR = ["number", "start", "firstCount", "counts", "meterCounts", "onsets", "recordedAt"];
export const CHORD = ["at", "tones"];
export const VOICE = ["start", "duration", "strikes", "curve", "vibrato", "swells", "fadesFrom"];
export const STRIKE = ["at", "kind", "level"];
export const POINT = ["at", "cents", "shape"];
export const VIBRATO = ["from", "to", "cents"];
export const SWELL = ["from", "to"];
export const STRIKE_KINDS = ["plucked", "hammered", "pulled", "tapped", "muted", "dead", "harmonic", "pinched", "tick"];
export const SHAPES = ["jump", "glide", "frets"];
export const NOTE = ["chord", "key", "name", "kind", "rule", "sentence", "finger", "position", "other", "digit"];
export const FIGURE_BLOCKS = ["blocks", "degrees", "steps"];
export const FIGURES = ["address", "title", "steps", "degrees", "places"];
export const WRITTEN_BAR = ["number", "start", "end", "repeats", "first", "last"];

/** What a row of the index says of its solo in `data-` attributes, and of what kind it is. */
export const FACTS = {
  title: "text",
  key: "text",
  meter: "text",
  tempo: "number",
  tuning: "text",
  rate: "number",
  reach: "number",
  bend: "number",
  technique: "list",
  device: "list",
  chord: "list",
};

/** A record by the names of its fields; those left out at its end are left out here too. */
const named = (fields, values) => Object.fromEntries(values.map((value, at) => [fields[at], value]));

/** Records that were written one after the other in a single list. */
const split = (fields, values) =>
  Array.from({ length: values.length / fields.length }, (_, at) =>
    named(fields, values.slice(at * fields.length, (at + 1) * fields.length)),
  );

/** The score of a solo: `a4`, `end`, its bars, each with its end, and its voices. Times are milliseconds. */
export const readScore = (packed) => {
  const bars = packed.bars.map((bar) => named(BAR, bar));
  bars.forEach((bar, at) => (bar.end = bars[at + 1]?.start ?? packed.end));
  const chords = (packed.chords ?? []).map((chord) => named(CHORD, chord));
  chords.forEach((chord, at) => (chord.end = chords[at + 1]?.at ?? packed.end));
  return { ...packed, bars, chords, voices: packed.voices.map(readVoice) };
};

const readVoice = (packed) => {
  const voice = named(VOICE, packed);
  return {
    ...voice,
    strikes: split(STRIKE, voice.strikes).map((strike) => ({ ...strike, kind: STRIKE_KINDS[strike.kind] })),
    curve: split(POINT, voice.curve).map((point) => ({ ...point, shape: SHAPES[point.shape] })),
    vibrato: split(VIBRATO, voice.vibrato ?? []),
    swells: split(SWELL, voice.swells ?? []),
  };
};

/** All that is known of the notes, in the order in which they are drawn. */
export const readNotes = (packed) => packed.map((note) => named(NOTE, note));

/** In which blocks of solos figures are looked for. */
export const readFigureBlocks = (packed) => named(FIGURE_BLOCKS, packed);

/** The solos of a block that figures are searched in. */
export const readFigures = (packed) => packed.map((solo) => named(FIGURES, solo));

/** The text of a solo and where its bars stand in it, in lines from 0. */
export const readWritten = (packed) => ({ ...packed, bars: packed.bars.map((bar) => named(WRITTEN_BAR, bar)) });

/** Runs of numbers, such as those of notes: `3-7 9`. */
export const readRuns = (text) =>
  text.split(" ").filter(Boolean).flatMap((run) => {
    const [first, last = first] = run.split("-").map(Number);
    return Array.from({ length: last - first + 1 }, (_, place) => first + place);
  });

/** Lines and how many strokes each has, `5.2 3`, as the addresses of these strokes. */
export const readPlaces = (text) => {
  const words = text.split(" ");
  const found = [];
  for (let at = 0; at + 1 < words.length; at += 2) {
    for (let stroke = 1; stroke <= Number(words[at + 1]); stroke += 1) found.push(`${words[at]}.${stroke}`);
  }
  return found;
};
