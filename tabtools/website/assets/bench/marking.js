// Striking a key where a bar begins in the recording, looping what lies between, and copying it all as text.

import { clock } from "../correction_form/patch.js";
import { made } from "../page.js";
import { readWritten } from "../records.js";
import { between, markLines, ofRepeated, repeats, stillToCopy, withMarks } from "./marks.js";

const KEPT = "tabtools-marks ";
const KEYS = [
  ["b", "a bar begins here, while the recording plays"],
  ["Shift b", "take the last mark back"],
  ["o", "loop what sounds between two marks"],
];

export class Marking {
  constructor() {
    this.root = made("details", "", "tt-bench-marks");
    this.summary = made("summary", "Mark bars");
    this.first = Object.assign(made("input"), { type: "number", min: 0, value: 1, name: "first" });
    const label = made("label", "The first mark is bar ");
    label.append(this.first);
    this.list = made("ol");
    this.said = made("p");
    this.said.setAttribute("role", "status");
    const row = made("p");
    for (const [words, does] of [
      ["A bar begins here", () => this.strike()],
      ["Take back", () => this.takeBack()],
      ["Loop it", () => this.loop()],
      ["Copy the marks", () => this.copy(markLines)],
      ["Copy the solo with them", () => this.copy(withMarks)],
    ]) {
      const button = Object.assign(made("button", words), { type: "button" });
      button.addEventListener("click", does);
      row.append(button);
    }
    const keys = made("dl");
    for (const [key, does] of KEYS) {
      const line = made("div");
      const name = made("dt");
      name.append(made("kbd", key));
      line.append(name, made("dd", does));
      keys.append(line);
    }
    this.root.append(this.summary, label, row, this.said, this.list, keys);
    this.marks = this.remembered();
    this.first.addEventListener("change", () => this.draw());
    document.addEventListener("keydown", (event) => this.key(event));
  }

  get practice() {
    return globalThis.tabtools?.practice;
  }

  get written() {
    const data = document.querySelector(".tt-written");
    return data ? readWritten(JSON.parse(data.textContent)) : { text: "", bars: [] };
  }

  /** Takes note of a page that has changed: marks that stand in it now are done with. */
  renew() {
    const { practice } = this;
    this.root.hidden = !practice;
    if (!practice) return;
    practice.player.runsOn = true;
    const before = this.marks.length;
    const left = stillToCopy(this.numbered(), practice.score, this.written.bars);
    if (!left.length && before) {
      this.marks = [];
      this.say("All marks stand in the solo now.");
    }
    if (!this.marks.length) this.first.value = this.nextBar();
    this.draw();
  }

  /** The bar behind the last one whose time is written. */
  nextBar() {
    const timed = this.practice.score.bars.filter(({ recordedAt }) => recordedAt !== undefined);
    return timed.length ? timed.at(-1).number + 1 : 1;
  }

  /** The marks in the order of time, each with its bar. */
  numbered() {
    const first = Number(this.first.value);
    return this.marks.toSorted((one, other) => one - other).map((seconds, at) => ({ bar: first + at, seconds }));
  }

  key(event) {
    const { target } = event;
    if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented || !this.practice) return;
    if (target.matches("textarea, select, input:not([type=range], [type=checkbox], [type=file])")) return;
    const does = { b: () => (event.shiftKey ? this.takeBack() : this.strike()), o: () => this.loop() };
    const found = does[event.key.toLowerCase()];
    if (!found || event.repeat) return;
    event.preventDefault();
    this.root.open = true;
    found();
  }

  /** Where the recording is, null where it does not play. */
  get now() {
    const { player } = this.practice;
    return player.isPlaying && player.round?.isHeard ? player.recording.audio.currentTime : null;
  }

  strike() {
    const { now } = this;
    if (now === null) {
      this.say("Open your recording and let it play; then mark where each bar begins.");
      return;
    }
    this.marks = [...this.marks, now];
    this.say(`${clock(now)} marked.`);
    this.draw();
  }

  takeBack() {
    const last = this.marks.at(-1);
    this.marks = this.marks.slice(0, -1);
    this.say(last === undefined ? "There is no mark to take back." : `${clock(last)} taken back.`);
    this.draw();
  }

  loop() {
    const { player } = this.practice;
    const { recording } = player;
    const found = recording.isLoaded && between(this.numbered(), recording.secondsOf(player.place));
    if (!found || found.to - found.from < 0.1) {
      this.say("There is nothing to loop here: mark where a bar begins and where the next one does.");
      return;
    }
    this.practice.setStretch({ from: recording.placeOf(found.from), to: recording.placeOf(found.to) }, true);
    this.say(`Looped: ${clock(found.from)} to ${clock(found.to)}.`);
  }

  async copy(make) {
    const { text, bars } = this.written;
    const all = this.numbered();
    const marks = all.filter(({ bar }) => !repeats(bar, bars));
    const left = ofRepeated(all.filter(({ bar }) => repeats(bar, bars)).map(({ bar }) => bar));
    if (!marks.length) {
      this.say(left || "There is no mark to copy.");
      return;
    }
    const counts = this.practice.score.bars.at(-1).meterCounts;
    await navigator.clipboard.writeText(make(marks, text, counts));
    const copied = `${marks.length === 1 ? "One mark" : `${marks.length} marks`} copied; paste into the solo and save.`;
    this.say(left ? `${copied} ${left}` : copied);
  }

  say(text) {
    this.said.textContent = text;
  }

  draw() {
    const { bars } = this.written;
    this.list.replaceChildren(
      ...this.numbered().map(({ bar, seconds }) => {
        const like = repeats(bar, bars) ? "  (repeats another, cannot be written)" : "";
        return made("li", `bar ${bar}  at ${clock(seconds)}${like}`);
      }),
    );
    this.summary.textContent = this.marks.length ? `Mark bars (${this.marks.length})` : "Mark bars";
    try {
      localStorage.setItem(KEPT + location.pathname, JSON.stringify([Number(this.first.value), ...this.marks]));
    } catch {
      // Without storage the marks last as long as the page.
    }
  }

  remembered() {
    try {
      const [first, ...marks] = JSON.parse(localStorage.getItem(KEPT + location.pathname)) ?? [1];
      this.first.value = first;
      return marks;
    } catch {
      return [];
    }
  }
}
