// The student's own recording: a file that the browser plays from the disk, and the way between it and the score.
// Between two bars whose place in the recording is written, time runs evenly; beyond the first and last, at the written tempo.

/** Seconds of the recording for milliseconds of the score, and back. */
function marksOf(score) {
  const marks = score.bars.filter((bar) => bar.length > 6).map((bar) => [bar[1], bar[6] / 1000]);
  if (!marks.length) marks.push([0, 0]);
  const along = (value, from, to) => {
    let place = 0;
    while (place + 2 < marks.length && marks[place + 1][from] <= value) place += 1;
    const [one, other] = [marks[place], marks[place + 1]];
    const [first, last] = [marks[0], marks[marks.length - 1]];
    const pace = from === 0 ? 1 / 1000 : 1000;
    if (!other || value < first[from]) return first[to] + (value - first[from]) * pace;
    if (value > last[from]) return last[to] + (value - last[from]) * pace;
    return one[to] + ((value - one[from]) * (other[to] - one[to])) / (other[from] - one[from]);
  };
  return { secondsOf: (ms) => along(ms, 0, 1), placeOf: (seconds) => along(seconds, 1, 0) };
}

class Recording {
  constructor(score) {
    this.marks = marksOf(score);
    this.shift = 0;
    this.audio = null;
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
      placeAt: (time) => this.marks.placeOf(audio.currentTime - this.shift + (time - context.currentTime) * rate),
    };
  }
}
