// A drone under the solo: the root and the fifth of each chord, or the chord, held as long as it lasts.

const LOW = 45; // the lowest root, MIDI: A2
const PARTIALS = [0, 1, 0.55, 0.32, 0.2, 0.12, 0.07]; // of a soft reed
const LEVEL = 0.05;
const RISE = 0.06; // seconds
const FALL = 0.09;

/** What a drone of a kind ("fifth" or "chord") plays of a chord: MIDI pitches, the root lowest. */
export const dronePitches = ({ tones }, kind) => {
  if (!tones.length) return [];
  const root = LOW + ((tones[0] - LOW) % 12 + 12) % 12;
  const above = (tone) => (((tone - tones[0]) % 12) + 12) % 12;
  const fifth = tones.map(above).find((step) => step >= 6 && step <= 8) ?? 7;
  const steps = kind === "fifth" ? [0, fifth] : tones.map(above);
  return [...steps.map((step) => root + step), root + 12];
};

/** Chords as a drone holds them while the music goes from one moment to another; with those that sound on, if it
 * `opens`. Each with the moments in between which it is heard. */
export const heldChords = (chords, from, to, opens) =>
  chords
    .filter(({ at, end }) => (at >= from && at < to) || (opens && at < from && end > from))
    .map((chord) => ({ chord, from: Math.max(chord.at, from), to: chord.end }));

/** Lets pitches sound through a node from one second to another. Returns what can be silenced. */
export const hold = (context, through, pitches, a4, from, to) => {
  const wave = context.createPeriodicWave(new Float32Array(PARTIALS.length), Float32Array.from(PARTIALS));
  const begins = Math.max(from, context.currentTime);
  if (to - begins < RISE + FALL) return [];
  return pitches.map((midi) => {
    const frequency = a4 * 2 ** ((midi - 69) / 12);
    const source = new OscillatorNode(context, { periodicWave: wave, frequency });
    const gain = new GainNode(context, { gain: 0 });
    gain.gain.setValueAtTime(0, begins);
    gain.gain.linearRampToValueAtTime(LEVEL, begins + RISE);
    gain.gain.setValueAtTime(LEVEL, to - FALL);
    gain.gain.linearRampToValueAtTime(0, to);
    source.connect(gain).connect(through);
    source.start(begins);
    source.stop(to);
    return { source, gain };
  });
};
