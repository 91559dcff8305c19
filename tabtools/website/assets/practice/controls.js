// The controls of a page, its keys, and what is said aloud.

import { anchorOf } from "../page.js";
import { readScore } from "../records.js";
import { Memory } from "./memory.js";
import { Player } from "./player.js";
import { barAt } from "./score.js";
import { barsNumbered, endsOf, isWhole, loopedFrom, loopedTo, readStretch, stretchOf } from "./stretch.js";
import { Tab } from "./tab.js";

const still = matchMedia("(prefers-reduced-motion: reduce)");

const percentOf = (rate) => Math.round(rate * 100);
const shortNumber = (number) => Number(number.toFixed(1));

export class Practice {
  /** `signal` says when this page's tab is done with; `player` is one that goes on with the controls. */
  constructor(section, root, signal, player = null) {
    this.section = section;
    this.signal = signal;
    this.score = readScore(JSON.parse(section.querySelector(".tt-score").textContent));
    this.tab = new Tab(root, this.score, signal);
    this.player = player ?? new Player(this.score);
    this.place = section.querySelector(".tt-place");
    this.said = section.querySelector(".tt-said");
    this.field = (name) => section.querySelector(`[name="${name}"]`);
    this.button = (does) => section.querySelector(`[data-do="${does}"]`);
    this.tab.redraw = () => {
      this.mark();
      this.draw(false);
    };
    this.wire();
    this.player.changed = () => this.update();
    this.memory = new Memory(location.pathname);
    if (player) this.goOn();
    else {
      this.goToAnchor();
      this.recall();
    }
    this.update();
    addEventListener("pagehide", () => this.note(), { signal });
  }

  /** Goes on with a score that has changed. */
  goOn() {
    this.player.rescore(this.score);
    this.field("stretch").value = this.isWhole ? "" : "bars";
    this.mark();
  }

  wire() {
    const { player, section, tab } = this;
    const until = { signal: this.signal };
    for (const button of section.querySelectorAll("[data-do]")) {
      button.addEventListener("click", () => this.act(button.dataset.do), until);
    }
    const on = (name, event, does) => this.field(name).addEventListener(event, does, until);
    on("tempo", "input", () => this.setRate(Number(this.field("tempo").value) / 100));
    on("pace", "change", () => this.setPace(Number(this.field("pace").value)));
    on("stretch", "change", () => this.chooseStretch());
    for (const name of ["from", "to"]) on(name, "change", () => this.chooseBars());
    on("countin", "change", () => (player.counting = this.field("countin").value));
    on("metronome", "change", () => {
      player.metronome = this.field("metronome").checked;
      player.renew();
    });
    for (const name of ["guitar", "clicks", "recording"]) {
      on(name, "input", () => player.setVolume({ [name]: this.field(name).value / 100 }));
    }
    on("file", "change", () => this.openRecording(this.field("file").files[0]));
    on("hear", "change", () => {
      const { place } = player;
      player.hear = this.field("hear").value;
      player.move(place);
      player.setVolume({});
    });
    on("shift", "change", () => {
      player.recording.shift = Number(this.field("shift").value) || 0;
      player.renew();
      this.note();
    });
    tab.listen({
      click: (ms) => player.move(ms),
      drag: (first, last, isDone) => {
        if (isDone) this.setBars(first, last);
        else tab.mark(stretchOf(first, last, this.score));
      },
      drop: () => this.mark(),
    });
    const folded = section.querySelector(".tt-settings");
    document.addEventListener("pointerdown", ({ target }) => {
      if (folded.open && !folded.closest(".tt-transport").contains(target)) folded.open = false;
    }, until);
    folded.addEventListener("keydown", (event) => {
      if (event.key !== "Escape" || !folded.open) return;
      event.stopPropagation();
      folded.open = false;
      folded.querySelector("summary").focus();
    }, until);
    for (const area of [section, tab.root]) area.addEventListener("keydown", (event) => this.key(event), until);
    addEventListener("hashchange", () => this.goToAnchor(), until);
  }

  act(does) {
    const { player } = this;
    if (does === "play" && player.isPlaying) player.pause();
    else if (does === "play") player.play();
    else if (does === "stop") player.stop();
    else if (does === "loop") this.setLoop(!player.loops);
    else if (does === "forget") this.forget();
    else if (does === "slower" || does === "faster") this.turn(does === "slower" ? -1 : 1);
    else this.step(...{ "bar-back": [-1, true], back: [-1], on: [1], "bar-on": [1, true] }[does]);
  }

  key(event) {
    const { target } = event;
    if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
    const isTyped = target.matches("select, input:not([type=range], [type=checkbox], [type=file])");
    const isPressed = target.matches("button, summary, input") && target.type !== "range";
    if (isTyped && event.key !== "Escape") return;
    if (isPressed && event.key === " ") return;
    if (target.type === "range" && /^(Arrow|Home|End)/.test(event.key)) return;
    const toggle = (name) => this.field(name).click();
    const keys = {
      " ": () => this.act("play"),
      Escape: () => this.act("stop"),
      ArrowLeft: () => this.step(-1, event.shiftKey),
      ArrowRight: () => this.step(1, event.shiftKey),
      Home: () => this.goTo(this.onsets()[0] ?? 0),
      End: () => this.goTo(this.onsets().at(-1) ?? 0),
      "[": () => this.loopFrom(),
      "]": () => this.loopTo(),
      l: () => this.act("loop"),
      m: () => toggle("metronome"),
      c: () => this.nextCounting(),
      "-": () => this.turn(-1),
      "+": () => this.turn(1),
    };
    const same = { "−": "-", "=": "+", Spacebar: " " };
    const does = keys[same[event.key] ?? (event.key.length === 1 ? event.key.toLowerCase() : event.key)];
    if (!does) return;
    event.preventDefault();
    event.stopPropagation();
    does();
  }

  // Places

  onsets() {
    return this.score.bars.flatMap((bar) => bar.onsets);
  }

  /** The next stroke, or bar, before or after the place. */
  step(way, isBar = false) {
    const moments = isBar ? this.score.bars.map((bar) => bar.start) : this.onsets();
    const { place } = this.player;
    const found = way > 0 ? moments.find((ms) => ms > place + 1) : moments.findLast((ms) => ms < place - 1);
    if (found !== undefined) this.goTo(found);
  }

  goTo(ms) {
    this.player.move(ms);
    this.tab.reveal(this.tab.pieceAt(ms), still.matches);
    if (this.player.isPlaying) return;
    const isRead = document.activeElement.matches(".note"); // a note that has the focus is read out itself
    this.say([this.placeText(), this.tab.reading(ms)].filter(Boolean).join(": "), isRead ? "off" : "polite");
  }

  /** A link that led to a place of the tab is where playing begins. */
  goToAnchor() {
    const target = document.getElementById(anchorOf(location.hash));
    const bar = this.tab.barOf(target);
    if (bar < 0 || this.player.isPlaying) return;
    const stroke = target.matches(".stroke") ? target : target.matches(".tt-bar") ? null : target.querySelector(".stroke");
    const { onsets, start } = this.score.bars[bar];
    this.player.move(onsets[this.tab.strokes(bar).indexOf(stroke)] ?? start);
  }

  placeText() {
    const { place } = this.player;
    const { number, start, end, firstCount, counts } = this.score.bars[barAt(this.score, place)];
    const count = firstCount + Math.min(counts - 1, Math.floor(((place - start + 1) * counts) / (end - start)));
    return `Bar ${number}${counts ? `, count ${count}` : ", free"}`;
  }

  // What is played

  /** The tempo as a share of the written one: the one that is wanted, until the player has it. */
  get rate() {
    return this.wanted ?? this.player.rate;
  }

  setRate(rate) {
    const { min, max } = this.field("tempo");
    this.wanted = Math.min(Math.max(rate, min / 100), max / 100);
    this.update();
    clearTimeout(this.turning);
    const done = () => {
      const { wanted } = this;
      this.wanted = null;
      this.player.setRate(wanted);
      this.update();
    };
    this.turning = setTimeout(done, this.player.isPlaying ? 120 : 0);
  }

  /** The tempo in counts a minute. */
  setPace(pace) {
    if (pace > 0) this.setRate(pace / this.score.pace);
    else this.update();
  }

  /** A twentieth of the written tempo slower or faster. */
  turn(way) {
    this.setRate((Math.round(this.rate * 20) + way) / 20);
    this.say(this.paceText());
  }

  paceText() {
    return `${percentOf(this.rate)} percent, ${shortNumber(this.rate * this.score.pace)} counts a minute`;
  }

  chooseStretch() {
    const { value } = this.field("stretch");
    if (value === "bars") return;
    const chosen = readStretch(value);
    this.setStretch(chosen ?? { from: 0, to: this.score.end }, chosen !== null);
  }

  chooseBars() {
    const [from, to] = ["from", "to"].map((name) => Number(this.field(name).value));
    const { first, last, fault } = barsNumbered(from, to, this.score);
    if (!fault) this.setBars(first, last);
    else {
      this.say(fault);
      this.update();
    }
  }

  setBars(first, last) {
    this.field("stretch").value = "bars";
    this.setStretch(stretchOf(first, last, this.score), true);
  }

  setStretch({ from, to }, loops) {
    this.player.setStretch(from, to, loops);
    this.mark();
    const [one, other] = this.ends().map((bar) => this.score.bars[bar].number);
    this.say(loops ? `Loop: ${one === other ? `bar ${one}` : `bars ${one} to ${other}`}` : "The whole solo");
  }

  /** The first and last bar of what is played. */
  ends() {
    return endsOf(this.player.stretch, this.score);
  }

  get isWhole() {
    return isWhole(this.player.stretch, this.score);
  }

  loopFrom() {
    this.setBars(...loopedFrom(barAt(this.score, this.player.place), this.player.stretch, this.score));
  }

  loopTo() {
    this.setBars(...loopedTo(barAt(this.score, this.player.place), this.player.stretch, this.score));
  }

  setLoop(loops) {
    const { from, to } = this.player.stretch;
    const { place } = this.player;
    this.player.loops = loops;
    if (this.player.isPlaying && place >= from && place < to) this.player.move(place);
    this.say(loops ? "Loop on" : "Loop off");
    this.update();
  }

  nextCounting() {
    const choice = this.field("countin");
    choice.selectedIndex = (choice.selectedIndex + 1) % choice.options.length;
    this.player.counting = choice.value;
    this.say(`Count-in: ${choice.selectedOptions[0].text}`);
  }

  async openRecording(file) {
    if (!file) return;
    const { player } = this;
    const { place } = player;
    player.pause();
    const isOpen = await this.load(file, place);
    if (!isOpen) this.say("The browser cannot play this file. Try another format, such as MP3, WAV or FLAC.");
    else if (!(await this.memory.keep(file))) this.say("The recording is ready. This browser does not remember it.");
    else if (player.recording.has(place)) this.say("The recording is ready.");
    else this.say("The recording does not reach this place; check that it is the one named above, or move it.");
    if (isOpen) this.note();
  }

  /** Has a file played instead of the tab, from a place of the score on. Returns whether that can be. */
  async load(file, place) {
    const { player } = this;
    let isOpen = true;
    try {
      await player.recording.load(file);
    } catch {
      isOpen = false;
    }
    this.hearRecording(isOpen);
    player.move(place);
    return isOpen;
  }

  hearRecording(isOpen) {
    const { player } = this;
    player.hear = isOpen ? "recording" : "tab";
    this.field("hear").value = player.hear;
    for (const name of ["hear", "shift", "recording"]) this.field(name).disabled = !isOpen;
    this.button("forget").disabled = !isOpen;
    player.setVolume({});
  }

  /** Opens the recording that was opened here the last time, where it was left. */
  async recall() {
    const { player } = this;
    const known = await this.memory.recall();
    if (!known || player.isPlaying || player.recording.isLoaded || this.signal.aborted) return;
    const { file, shift = 0, place = 0 } = known;
    player.recording.shift = shift;
    this.field("shift").value = shift;
    const chosen = new DataTransfer();
    chosen.items.add(file);
    this.field("file").files = chosen.files;
    if (await this.load(file, player.place || place)) this.say(`${file.name} is ready, as the last time.`);
  }

  /** Notes where the recording is left. */
  note() {
    const { recording, place } = this.player;
    if (recording.isLoaded) this.memory.note({ shift: recording.shift, place });
  }

  async forget() {
    this.player.pause();
    this.player.recording.unload();
    this.hearRecording(false);
    this.field("file").value = "";
    await this.memory.forget();
    this.say("The recording is forgotten.");
  }

  // What is seen and said

  say(text, live = "polite") {
    this.said.ariaLive = live;
    this.said.textContent = text;
  }

  mark() {
    if (this.isWhole) this.tab.mark();
    else this.tab.mark(this.player.stretch);
  }

  update() {
    const { player, score } = this;
    const percent = percentOf(this.rate);
    this.field("tempo").value = percent;
    this.field("pace").value = shortNumber(this.rate * score.pace);
    this.section.querySelector(".tt-rate").textContent = `${percent} %`;
    this.field("tempo").setAttribute("aria-valuetext", this.paceText());
    this.button("play").textContent = player.isPlaying ? "Pause" : "Play";
    this.button("loop").setAttribute("aria-pressed", player.loops);
    const [first, last] = this.ends();
    this.field("from").value = score.bars[first].number;
    this.field("to").value = score.bars[last].number;
    if (this.isWhole && this.field("stretch").value === "bars") this.field("stretch").value = "";
    this.draw(false);
    if (player.isPlaying && !this.moving) this.follow();
  }

  draw(follows) {
    this.tab.show(this.player.place, still.matches, follows);
    const text = this.placeText();
    if (this.place.textContent !== text) this.place.textContent = text;
  }

  follow() {
    this.moving = requestAnimationFrame(() => {
      this.moving = 0;
      if (!this.player.isPlaying || !this.section.isConnected || this.signal.aborted) return;
      this.draw(this.field("scroll").checked && { loop: this.player.loops && !this.isWhole && this.player.stretch });
      this.follow();
    });
  }
}
