// The strings and the metronome in a Web Audio context, live or offline: what is tested is what is played.

import { dronePitches, heldChords, hold } from "./drone.js";
import { countIn, countsOf, steadyWay } from "./score.js";
import { roomOf } from "./room.js";
import { voiceSamples } from "./string.js";

const MOST_CACHED = 10e6; // samples
const ROUNDING = 2; // milliseconds by which counts and written places may differ
const CUT = 0.012; // seconds in which a stretch that ends cuts off what still sounds

export class Band {
  constructor(score, context) {
    this.context = context;
    this.sounding = new Set();
    this.rescore(score);
    this.guitar = new GainNode(context);
    this.clicks = new GainNode(context);
    this.drone = new GainNode(context);
    const soft = Float32Array.from({ length: 1025 }, (_, step) => Math.tanh((step - 512) / 256) / Math.tanh(2));
    const limit = new WaveShaperNode(context, { curve: soft });
    this.guitar.connect(roomOf(context)).connect(limit);
    this.clicks.connect(limit);
    this.drone.connect(limit);
    limit.connect(context.destination);
    this.ticks = [this.tick(1050), this.tick(1560)];
  }

  rescore(score) {
    this.score = score;
    this.counts = countsOf(score);
    this.made = new Map();
    this.cached = 0;
  }

  buffer(samples) {
    const made = new AudioBuffer({ length: samples.length, sampleRate: this.context.sampleRate });
    made.copyToChannel(samples, 0);
    return made;
  }

  tick(pitch) {
    const { sampleRate } = this.context;
    const wave = (_, sample) =>
      0.3 * Math.sin((2 * Math.PI * pitch * sample) / sampleRate) * Math.exp(-sample / (0.008 * sampleRate));
    return this.buffer(Float32Array.from({ length: Math.round(0.05 * sampleRate) }, wave));
  }

  voice(index, rate) {
    const key = `${index} ${rate}`;
    const known = this.made.get(key);
    if (known) return known;
    const samples = voiceSamples(this.score.voices[index], rate, this.score.a4, this.context.sampleRate);
    const made = this.buffer(samples);
    this.made.set(key, made);
    this.cached += samples.length;
    for (const [oldest, buffer] of this.made) {
      if (this.cached < MOST_CACHED || oldest === key) break;
      this.made.delete(oldest);
      this.cached -= buffer.length;
    }
    return made;
  }

  start(buffer, through, when, offset = 0, until = Infinity) {
    const { context } = this;
    const late = Math.max(0, context.currentTime - when);
    const begins = when + late;
    if (offset + late >= buffer.duration || begins >= until) return;
    const source = new AudioBufferSourceNode(context, { buffer });
    const gain = new GainNode(context);
    source.connect(gain).connect(through);
    if (offset + late > 0) {
      gain.gain.setValueAtTime(0, begins);
      gain.gain.linearRampToValueAtTime(1, begins + 0.004);
    }
    source.start(begins, offset + late);
    if (begins + buffer.duration - offset > until) {
      gain.gain.setValueAtTime(1, Math.min(until, Math.max(begins + 0.004, until - CUT)));
      gain.gain.linearRampToValueAtTime(0, until);
      source.stop(until);
    }
    const playing = { source, gain };
    this.sounding.add(playing);
    source.onended = () => this.sounding.delete(playing);
  }

  /** Schedules what begins from `from` up to `to`; `opens` lets sound on what began before. Returns how far it came. */
  schedule(way, rate, from, to, options = {}) {
    const { opens = false, metronome = false, drone = "", until = Infinity, enough = () => false } = options;
    const { voices } = this.score;
    let reached = to;
    for (let index = 0; index < voices.length && voices[index].start < to; index += 1) {
      const { start, duration } = voices[index];
      if (start < from && !(opens && start + duration > from)) continue;
      if (start > from && start > voices[index - 1]?.start && enough(way.timeOf(start))) {
        reached = start;
        break;
      }
      const offset = Math.max(0, from - start) / 1000 / rate;
      this.start(this.voice(index, rate), this.guitar, way.timeOf(Math.max(start, from)), offset, until);
    }
    if (metronome) {
      const isDue = ({ at }) => at >= from - ROUNDING && at < reached - ROUNDING;
      for (const { at, isFirst } of this.counts.filter(isDue)) this.click(way.timeOf(at), isFirst);
    }
    if (drone) this.holdChords(way, from, reached, { drone, opens, until });
    return reached;
  }

  holdChords(way, from, to, { drone, opens, until }) {
    for (const held of heldChords(this.score.chords, from, to, opens)) {
      const [begins, ends] = [way.timeOf(held.from), Math.min(until, way.timeOf(held.to))];
      for (const one of hold(this.context, this.drone, dronePitches(held.chord, drone), this.score.a4, begins, ends)) {
        this.sounding.add(one);
        one.source.onended = () => this.sounding.delete(one);
      }
    }
  }

  click(when, isFirst) {
    this.start(this.ticks[isFirst ? 1 : 0], this.clicks, when);
  }

  /** Counts in to a place that is reached at a time. Returns how many seconds that takes when `when` is not given. */
  countIn(place, rate, when) {
    const clicks = countIn(this.score, place);
    if (when !== undefined) for (const { before, isFirst } of clicks) this.click(when - before / 1000 / rate, isFirst);
    return clicks.length ? clicks[0].before / 1000 / rate : 0;
  }

  silence() {
    const now = this.context.currentTime;
    for (const { source, gain } of this.sounding) {
      gain.gain.cancelScheduledValues(now);
      gain.gain.setTargetAtTime(0, now, 0.005);
      source.stop(now + 0.03);
    }
    this.sounding.clear();
  }
}

/** A stretch of a score as samples, made offline by the same strings. */
export async function render(score, { rate = 1, from = 0, to = score.end, metronome = false, drone = "", counted = false, sampleRate = 44100 } = {}) {
  const probe = new OfflineAudioContext(1, 1, sampleRate);
  const lead = counted ? new Band(score, probe).countIn(from, rate) : 0;
  const seconds = lead + (to - from) / 1000 / rate;
  const context = new OfflineAudioContext(1, Math.ceil(seconds * sampleRate), sampleRate);
  const band = new Band(score, context);
  if (counted) band.countIn(from, rate, lead);
  band.schedule(steadyWay(lead, from, rate), rate, from, to, { opens: true, metronome, drone });
  return (await context.startRendering()).getChannelData(0);
}
