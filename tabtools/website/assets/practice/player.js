// Playing: where the music is, what comes next, and the rounds of a loop.

import { Recording } from "./recording.js";
import { risen } from "./rising.js";
import { carriedOver, steadyWay } from "./score.js";
import { Band } from "./sound.js";
import { isWhole } from "./stretch.js";

const LEAD = 0.08; // seconds between the key and the first sound
const AHEAD = 1.2; // seconds that are scheduled ahead, more than a browser lets a hidden page sleep
const AHEAD_OF_RECORDING = 0.3;
const TICK = 25; // milliseconds
const PATIENCE = 30; // milliseconds of making sounds before the page is let breathe
const TAIL = 0.3;

export class Player {
  constructor(score) {
    this.score = score;
    this.changed = () => {};
    this.recording = new Recording(score);
    this.rate = 1;
    this.stretch = { from: 0, to: score.end };
    this.loops = false;
    this.counting = "once";
    this.metronome = false;
    this.drone = ""; // or "fifth", "chord"
    this.rises = null; // or by how much the tempo rises, every so many turns, up to which goal
    this.turns = 0;
    this.hear = "tab";
    this.volume = { guitar: 0.7, clicks: 0.5, drone: 0.5, recording: 0.7 };
    this.rest = 0;
    this.begun = 0;
    this.hasEnded = false;
    this.rounds = [];
    this.timer = 0;
    this.runsOn = false; // whether a recording is played beyond the score, to its own end
  }

  /** Where there is nothing more to play. */
  get end() {
    const { audio } = this.recording;
    return this.runsOn && this.followsRecording
      ? Math.max(this.score.end, this.recording.placeOf(audio.duration))
      : this.score.end;
  }

  /** Where playing stops, or turns back. */
  get last() {
    return isWhole(this.stretch, this.score) && !this.loops ? this.end : this.stretch.to;
  }

  /** Where a round ends that begins at a place. */
  endFrom(place) {
    return place < this.last ? this.last : this.end;
  }

  get isPlaying() {
    return this.timer !== 0;
  }

  get followsRecording() {
    return this.hear !== "tab" && this.recording.isLoaded;
  }

  /** The place that sounds, in milliseconds of the score, or at which playing will begin. */
  get place() {
    const round = this.round;
    if (!round) return this.rest;
    const time = this.context.currentTime - (this.context.outputLatency || 0);
    const place = time < round.at ? round.from : round.way.placeAt(time);
    return Math.min(Math.max(place, round.from), round.to);
  }

  /** The round that sounds now, as against those already scheduled. */
  get round() {
    const now = this.context?.currentTime ?? 0;
    return this.rounds.findLast((round) => round.opens <= now) ?? this.rounds[0];
  }

  async play() {
    if (this.isPlaying) return;
    this.context ??= new AudioContext({ latencyHint: "interactive" });
    this.band ??= new Band(this.score, this.context);
    this.setVolume({});
    this.timer = setInterval(() => this.tick(), TICK);
    await this.context.resume();
    if (!this.isPlaying) return;
    const isOver = this.hasEnded || this.rest >= this.end;
    this.begun = isOver ? this.stretch.from : this.rest;
    this.hasEnded = false;
    this.turns = 0;
    this.open(this.begun, this.context.currentTime + LEAD, this.counting !== "none");
    this.tick();
    this.changed();
  }

  /** Begins a round; what is written there sounds after the count-in. */
  open(from, time, isCounted) {
    const to = this.endFrom(from);
    const lead = isCounted ? this.band.countIn(from, this.rate) : 0;
    const at = time + lead;
    if (isCounted) this.band.countIn(from, this.rate, at);
    const isHeard = this.followsRecording && this.recording.has(from);
    const round = { from, to, at, opens: time, done: from, isNew: true, isHeard, way: steadyWay(at, from, this.rate) };
    if (isHeard) this.cue(round);
    this.rounds.push(round);
    this.setVolume({});
  }

  /** Begins the next turn of a loop, faster where the tempo rises. */
  openAgain(time) {
    this.turns += 1;
    if (this.rises) this.rate = risen(this.rate, this.turns, this.rises);
    this.open(this.stretch.from, time, this.counting === "each");
    this.changed();
  }

  /** Lets the recording begin with a round. */
  cue(round) {
    const { audio } = this.recording;
    const waits = (round.at - this.context.currentTime) * 1000;
    const goes = () => (round.way = this.recording.way(this.context, this.rate));
    audio.playbackRate = this.rate;
    audio.currentTime = this.recording.secondsOf(round.from);
    if (waits <= 0 && !audio.paused) {
      goes();
      return;
    }
    audio.pause();
    this.cued = setTimeout(() => audio.play().then(goes, () => this.isPlaying && this.pause()), Math.max(0, waits));
  }

  tick() {
    const { context } = this;
    if (!this.rounds.length || context.state !== "running") return;
    const now = context.currentTime;
    const began = performance.now();
    const enough = (time) => time > now + 0.3 && performance.now() - began > PATIENCE;
    const horizon = (round) => now + (round.isHeard ? AHEAD_OF_RECORDING : AHEAD);
    let last = this.rounds.at(-1);
    this.fill(last, horizon(last), enough);
    while (!last.isHeard && this.repeats(last) && last.done >= last.to && this.endOf(last) < horizon(last)) {
      this.openAgain(this.endOf(last));
      last = this.rounds.at(-1);
      this.fill(last, horizon(last), enough);
    }
    while (this.rounds.length > 1 && this.rounds[1].opens <= now) this.rounds.shift();
    const [round] = this.rounds;
    if (this.rounds.length === 1 && this.isOver(round, now)) this.over(round);
  }

  repeats(round) {
    return this.loops && round.to === this.stretch.to;
  }

  endOf(round) {
    return round.way.timeOf(round.to);
  }

  isOver(round, now) {
    if (round.isHeard && this.recording.audio.ended) return true;
    return now > this.endOf(round) + (this.repeats(round) || round.isHeard ? 0 : TAIL);
  }

  over(round) {
    if (this.repeats(round)) {
      this.band.silence();
      this.rounds = [];
      this.openAgain(this.context.currentTime);
      return;
    }
    this.halt(round.to);
    this.hasEnded = true;
  }

  fill(round, horizon, enough) {
    const upto = Math.max(round.done, Math.min(round.to, round.way.placeAt(horizon)));
    if (upto === round.done && !round.isNew) return;
    const until = round.to < this.score.end || this.loops ? this.endOf(round) : Infinity;
    const options = { opens: round.isNew, metronome: this.metronome, drone: this.drone, until, enough };
    round.done = this.band.schedule(round.way, this.rate, round.done, upto, options);
    round.isNew = false;
  }

  /** Goes on from where it is, after something has changed. */
  renew() {
    if (this.isPlaying) this.move(this.place);
  }

  /** Goes to a place, playing on if it plays. */
  move(place) {
    const within = Math.min(Math.max(0, place), this.end);
    this.rest = within;
    this.hasEnded = false;
    if (this.isPlaying && this.rounds.length) {
      this.clear();
      this.open(within, this.context.currentTime + LEAD / 2, false);
      this.tick();
    }
    this.changed();
  }

  clear() {
    clearTimeout(this.cued);
    this.band?.silence();
    this.recording.audio?.pause();
    this.rounds = [];
  }

  pause() {
    this.halt(this.place);
  }

  stop() {
    this.halt(this.begun);
  }

  halt(place) {
    this.clear();
    clearInterval(this.timer);
    this.timer = 0;
    this.hasEnded = false;
    this.rest = place;
    setTimeout(() => this.isPlaying || this.context?.suspend(), 80);
    this.changed();
  }

  /** Goes on with another version of the score: in the same bar, or at the same second of the recording it follows. */
  rescore(score) {
    const { place, round, recording, stretch, score: before } = this;
    const second = recording.secondsOf(place);
    const isBeyond = this.followsRecording && stretch.to > before.end;
    const seconds = [stretch.from, stretch.to].map((ms) => recording.secondsOf(ms));
    const within = (ms, isEnd) => carriedOver(ms, before, score, isEnd);
    this.score = score;
    this.stretch = isWhole(stretch, before)
      ? { from: 0, to: score.end }
      : { from: within(stretch.from), to: within(stretch.to, true) };
    this.begun = within(this.begun);
    recording.rescore(score);
    if (isBeyond) {
      const [from, to] = seconds.map((second) => recording.placeOf(second));
      this.stretch = { from, to };
    }
    this.band?.rescore(score);
    const now = this.followsRecording ? recording.placeOf(second) : within(place);
    if (this.isPlaying && round?.isHeard && this.followsRecording) this.runOn(round, now);
    else this.move(now);
  }

  /** Lets the recording run on through a score that has changed around it. */
  runOn(round, place) {
    const to = this.endFrom(place);
    const { audio } = this.recording;
    const way = audio.paused ? steadyWay(round.at, place, this.rate) : this.recording.way(this.context, this.rate);
    this.band.silence();
    this.rounds = [Object.assign(round, { from: Math.min(place, to), to, done: place, isNew: true, way })];
    this.changed();
  }

  setRate(rate) {
    const { place } = this;
    this.rate = rate;
    if (this.isPlaying) this.move(place);
  }

  /** What is played, and whether over again; goes to its beginning if it is elsewhere. */
  setStretch(from, to, loops) {
    const { place } = this;
    this.stretch = { from, to };
    this.loops = loops;
    this.turns = 0;
    const isElsewhere = place < from || place >= to;
    if (isElsewhere) this.begun = from;
    this.move(isElsewhere ? from : place);
  }

  setVolume(volume) {
    Object.assign(this.volume, volume);
    if (this.band) {
      const isSilent = this.hear === "recording" && this.rounds.at(-1)?.isHeard;
      this.band.guitar.gain.value = isSilent ? 0 : this.volume.guitar ** 2 * 2;
      this.band.clicks.gain.value = this.volume.clicks ** 2 * 2;
      this.band.drone.gain.value = this.volume.drone ** 2 * 2;
    }
    if (this.recording.audio) this.recording.audio.volume = this.volume.recording;
  }
}
