// A plucked string: a delay line as long as one period, closed over a low-pass filter that lets it die away.
// After K. Karplus and A. Strong, Computer Music Journal 7(2), 1983, tuned by an interpolated read as in
// D. A. Jaffe and J. O. Smith, in the same issue. What is put into the line is one period of a string pulled aside at a
// point; its partials are known, so every note begins in tune and on time.

const SOUNDS = {
  // where it is pulled (a share of its length), how bright it is, how long it rings, how fast its brightness goes
  // (nepers a second at 1 kHz, with the square of the frequency), how much of the pick is heard
  plucked: { at: 0.13, bright: 3400, rings: 1, dulls: 0.9, noise: 0.1 },
  hammered: { at: 0.3, bright: 1500, rings: 0.9, dulls: 1.1, noise: 0.02 },
  pulled: { at: 0.22, bright: 2100, rings: 0.9, dulls: 1.1, noise: 0.05 },
  tapped: { at: 0.35, bright: 1800, rings: 0.9, dulls: 1.1, noise: 0.04 },
  muted: { at: 0.1, bright: 900, rings: 0.07, dulls: 9, noise: 0.12 }, // by the palm
  dead: { at: 0.2, bright: 700, rings: 0.012, dulls: 30, noise: 1, pitch: 4500 },
  harmonic: { at: 0.31, bright: 1300, rings: 1.3, dulls: 1.2, noise: 0.03 },
  pinched: { at: 0.045, bright: 5000, rings: 0.8, dulls: 1, noise: 0.15 },
  tick: { at: 0.5, bright: 2000, rings: 0.01, dulls: 20, noise: 0.3, pitch: 8800 }, // what is not known yet
};
const BODY = 500; // hertz from which on the body helps
const BLOCK = 32;
const JOIN = 0.004; // seconds in which a string gives way to its next stroke
const DAMPING = 0.03; // seconds in which a finger stops it
const SILENCE = 1e-4;
const LONGEST = 90; // seconds of sound made for one voice
const LOUDNESS = 0.062;
const VIBRATO_HERTZ = 5.4;

const hertzOf = (cents, a4) => a4 * 2 ** ((cents - 6900) / 1200);

/** The pitch of a voice in cents at a time in its own milliseconds; to be asked in rising order. */
export function pitchOf({ curve, vibrato, strikes }, rate) {
  let place = 0;
  return (ms) => {
    if (!curve.length) return SOUNDS[strikes[0].kind].pitch;
    while (place + 1 < curve.length && curve[place + 1].at <= ms) place += 1;
    const [here, next] = [curve[place], curve[place + 1]];
    let { cents } = here;
    if (next && next.shape !== "jump" && ms > here.at) {
      const share = (ms - here.at) / (next.at - here.at);
      const way = next.cents - cents;
      const frets = Math.max(1, Math.round(Math.abs(way) / 100));
      cents += way * (next.shape === "glide" ? (1 - Math.cos(Math.PI * share)) / 2 : Math.floor(share * frets) / frets);
    }
    for (const wave of vibrato) {
      if (ms < wave.from || ms > wave.to) continue;
      const seconds = (ms - wave.from) / 1000 / rate;
      const grown = Math.min(1, seconds / 0.2);
      cents += wave.cents * grown * Math.sin(2 * Math.PI * VIBRATO_HERTZ * seconds);
    }
    return cents;
  };
}

/** One period of a string pulled aside, as a sum of partials; `samples` of it. */
function pulled(samples, period, kind, sampleRate) {
  const wave = new Float64Array(samples);
  const fundamental = sampleRate / period;
  const bright = kind.bright + 1.5 * fundamental;
  let power = 0;
  for (let partial = 1; partial * fundamental < Math.min(9000, 0.4 * sampleRate) || partial === 1; partial += 1) {
    const hertz = partial * fundamental;
    const body = Math.hypot(1, hertz / BODY) ** 0.75; // a top carries high partials better than low ones
    const amount = (Math.sin(partial * Math.PI * kind.at) / partial) * body * Math.exp(-hertz / bright);
    power += amount * amount;
    const turn = 2 * Math.cos((2 * Math.PI * partial) / period);
    let [before, now] = [-amount * Math.sin((2 * Math.PI * partial) / period), 0];
    for (let sample = 0; sample < samples; sample += 1) {
      wave[sample] += now;
      [before, now] = [now, turn * now - before];
    }
  }
  const scale = 1 / Math.sqrt(power / 2);
  return wave.map((value) => value * scale);
}

/** Lets a string sound in `out` from one sample to another; `pitchAt` gives its cents at a sample. */
function ring(out, from, to, fade, kind, level, pitchAt, a4, sampleRate) {
  let frequency = hertzOf(pitchAt(from), a4);
  const damped = kind.dulls / frequency / (1 - Math.cos((2 * Math.PI * 1000) / sampleRate));
  const share = (2 * damped + 1 - Math.sqrt(4 * damped + 1)) / (2 * damped);
  const filterDelay = () => {
    const turn = (2 * Math.PI * frequency) / sampleRate;
    return Math.atan2(share * Math.sin(turn), 1 - share * Math.cos(turn)) / turn;
  };
  const lasts = () => kind.rings * Math.min(8, Math.max(1.2, 6 * Math.sqrt(110 / frequency)));
  const size = 2 ** Math.ceil(Math.log2(sampleRate / 20));
  const line = new Float64Array(size);
  const mask = size - 1;
  const first = Math.ceil(sampleRate / frequency) + 4;
  const loud = (level / 100) * LOUDNESS * Math.sqrt(2);
  const wave = pulled(first, sampleRate / frequency, kind, sampleRate);
  const fadesFrom = to - fade;
  let seed = 12345;
  let envelope = loud;
  let past = 0;
  let [whole, near, mid, far, further, loss] = [0, 0, 0, 0, 0, 1];
  const pick = Math.round(0.003 * sampleRate);
  for (let sample = from; sample < to; sample += 1) {
    const age = sample - from;
    if (age % BLOCK === 0) {
      frequency = Math.max(25, hertzOf(pitchAt(sample + BLOCK / 2), a4));
      const delay = Math.max(2.01, sampleRate / frequency - filterDelay());
      whole = Math.floor(delay) - 1;
      const d = delay - whole; // 1 to 2: the middle of four samples, read by Lagrange's polynomial of third order
      near = (-(d - 1) * (d - 2) * (d - 3)) / 6;
      mid = (d * (d - 2) * (d - 3)) / 2;
      far = (-d * (d - 1) * (d - 3)) / 2;
      further = (d * (d - 1) * (d - 2)) / 6;
      loss = 10 ** (-3 / (lasts() * frequency));
      envelope *= 10 ** ((-3 * BLOCK) / (lasts() * sampleRate));
      if (envelope < SILENCE * LOUDNESS) return;
    }
    let value;
    if (age < first) {
      value = wave[age] * loud;
      past = value;
    } else {
      const at = age - whole;
      const read =
        near * line[at & mask] + mid * line[(at - 1) & mask] + far * line[(at - 2) & mask] + further * line[(at - 3) & mask];
      past = (1 - share) * read + share * past;
      value = loss * past;
    }
    line[age & mask] = value;
    if (kind.noise && age < pick * 4) {
      seed = (seed * 1103515245 + 12345) % 2147483648;
      value += kind.noise * loud * (seed / 1073741824 - 1) * Math.exp(-age / pick);
    }
    const onset = Math.min(1, (age + 1) / (0.0008 * sampleRate));
    out[sample] += value * onset * (sample < fadesFrom ? 1 : (to - sample) / fade);
  }
}

/** A voice of the score as samples: `rate` is the tempo, 1 as written. */
export function voiceSamples(voice, rate, a4, sampleRate) {
  const { duration, strikes } = voice;
  const samplesAt = (ms) => Math.round((ms / 1000 / rate) * sampleRate);
  const last = strikes.at(-1)?.at ?? 0;
  const longest = Math.min(LONGEST * sampleRate, samplesAt(last) + 14 * sampleRate);
  const stops = Math.min(samplesAt(duration), longest);
  const out = new Float32Array(stops + Math.ceil(DAMPING * sampleRate) + 1);
  strikes.forEach(({ at, kind, level }, place) => {
    const from = samplesAt(at);
    const next = strikes[place + 1];
    const fade = Math.round((next ? JOIN : DAMPING) * sampleRate);
    const to = Math.min(out.length, (next ? samplesAt(next.at) : stops) + fade);
    const pitch = pitchOf(voice, rate);
    const pitchAt = (sample) => pitch((sample / sampleRate) * 1000 * rate);
    ring(out, from, to, fade, SOUNDS[kind], level, pitchAt, a4, sampleRate);
  });
  shape(out, voice, samplesAt);
  return out;
}

/** Volume swells, and the fading of a slide to nowhere. */
function shape(out, { swells, fadesFrom }, samplesAt) {
  for (const swell of swells) {
    const [from, to] = [samplesAt(swell.from), samplesAt(swell.to)];
    for (let sample = from; sample < Math.min(to, out.length); sample += 1) {
      out[sample] *= ((sample - from) / (to - from)) ** 2;
    }
  }
  if (fadesFrom === undefined) return;
  const from = samplesAt(fadesFrom);
  for (let sample = from; sample < out.length; sample += 1) {
    out[sample] *= 1 - (sample - from) / (out.length - from);
  }
}
