// The student's own recording: a file that the browser plays from the disk, and the way between it and the score.

import { marksOf } from "./score.js";

export class Recording {
  constructor(score) {
    this.rescore(score);
    this.shift = 0;
    this.audio = null;
  }

  rescore(score) {
    this.marks = marksOf(score);
  }

  get isLoaded() {
    return this.audio !== null;
  }

  /** Opens a file; rejects what the browser cannot play. */
  async load(file) {
    this.unload();
    const audio = new Audio();
    audio.preservesPitch = true;
    audio.preload = "auto";
    const address = URL.createObjectURL(file);
    try {
      await new Promise((resolve, reject) => {
        audio.addEventListener("canplay", resolve, { once: true });
        audio.addEventListener("error", () => reject(audio.error), { once: true });
        audio.src = address;
      });
    } catch (error) {
      URL.revokeObjectURL(address);
      throw error;
    }
    this.audio = audio;
  }

  unload() {
    if (!this.audio) return;
    this.audio.pause();
    URL.revokeObjectURL(this.audio.src);
    this.audio = null;
  }

  secondsOf(ms) {
    return this.marks.secondsOf(ms) + this.shift;
  }

  placeOf(seconds) {
    return this.marks.placeOf(seconds - this.shift);
  }

  /** Whether a place of the score lies within the file. */
  has(ms) {
    const seconds = this.secondsOf(ms);
    return seconds >= 0 && seconds < this.audio.duration;
  }

  /** The way between the score and the context, as the recording runs at this moment. */
  way(context, rate) {
    const { audio } = this;
    return {
      timeOf: (ms) => context.currentTime + (this.secondsOf(ms) - audio.currentTime) / rate,
      placeAt: (time) => this.placeOf(audio.currentTime + (time - context.currentTime) * rate),
    };
  }
}
