// The controls of a page, its keys, and what is said aloud.

import { anchorOf } from "../page.js";
import { readScore } from "../records.js";
import { asked } from "./asked.js";
import { Kept, shortNumber, VOLUMES } from "./kept.js";
import { doesKey } from "./keys.js";
import { Memory } from "./memory.js";
import { OwnRecording } from "./own_recording.js";
import { Player } from "./player.js";
import { barAt } from "./score.js";
import { barsNumbered, endsOf, isWhole, loopedFrom, loopedTo, readStretch, stretchOf } from "./stretch.js";
import { Tab } from "./tab.js";

const still = matchMedia("(prefers-reduced-motion: reduce)");

const SAID = 6000; // milliseconds for which something that was said can be read
const percentOf = (rate) => Math.round(rate * 100);

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
    const memory = new Memory(location.pathname);
    this.own = new OwnRecording(this, memory);
    this.kept = new Kept(this, memory.key);
    if (player) this.goOn();
    else {
      this.kept.restore();
      this.goToAddress();
      this.own.recall();
    }
    this.update();
    const leave = () => {
      this.own.note();
      this.kept.keep();
    };
    addEventListener("pagehide", leave, { signal });
    document.addEventListener("visibilitychange", () => document.hidden && leave(), { signal });
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
    on("held", "change", () => {
      player.drone = this.field("held").value;
      player.renew();
    });
    for (const name of ["rises", "by", "every", "goal"]) on(name, "change", () => this.rise());
    for (const name of VOLUMES) {
      on(name, "input", () => player.setVolume({ [name]: this.field(name).value / 100 }));
    }
    on("file", "change", () => this.own.open(this.field("file").files[0]));
    on("hear", "change", () => {
      const { place } = player;
      player.hear = this.field("hear").value;
      player.move(place);
      player.setVolume({});
    });
    on("shift", "change", () => {
      player.recording.shift = Number(this.field("shift").value) || 0;
      player.renew();
      this.own.note();
    });
    tab.listen({
      click: (ms) => this.press(ms),
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
    for (const area of [section, tab.root]) area.addEventListener("keydown", (event) => doesKey(this, event), until);
    addEventListener("hashchange", () => this.goToAddress(), until);
    document.addEventListener("click", (event) => {
      const link = event.target.closest?.("a.tt-loop");
      if (!link) return;
      event.preventDefault();
      this.goToAddress(link.hash);
    }, until);
  }

  act(does) {
    const { player } = this;
    if (does === "play" && player.isPlaying) player.pause();
    else if (does === "play") player.play();
    else if (does === "stop") player.stop();
    else if (does === "loop") this.turnLoop();
    else if (does === "forget") this.own.forget();
    else if (does === "link") this.kept.copyLink();
    else if (does === "slower" || does === "faster") this.turn(does === "slower" ? -1 : 1);
    else this.step(...{ "bar-back": [-1, true], back: [-1], on: [1], "bar-on": [1, true] }[does]);
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

  /** What an address asks for is practised: a loop, a tempo; or a place of the tab is where playing begins. */
  goToAddress(hash = location.hash) {
    const { place, stretch, pace } = asked(anchorOf(hash), this.score);
    if (pace) this.setPace(pace);
    if (stretch) this.loopOver(stretch);
    if (!place) return;
    const target = document.getElementById(place);
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

  /** Has the tempo rise as it is set. */
  rise() {
    const [by, every, goal] = ["by", "every", "goal"].map((name) => Number(this.field(name).value));
    const isSet = this.field("rises").checked && by > 0 && every >= 1 && goal > 0;
    this.player.rises = isSet ? { by: by / this.score.pace, every, goal: goal / this.score.pace } : null;
    if (isSet && !this.player.loops) this.setLoop(true);
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
    if (chosen) this.tab.settle(this.tab.pieceAt(chosen.from), chosen, still.matches);
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

  /** Loops a stretch and shows it. */
  loopOver(stretch) {
    this.field("stretch").value = "bars";
    this.setStretch(stretch, true);
    if (!this.player.isPlaying) this.say(`Loop: ${this.looped()}. Press Play.`);
    this.tab.settle(this.tab.pieceAt(stretch.from), stretch, still.matches);
  }

  setStretch({ from, to }, loops) {
    this.player.setStretch(from, to, loops);
    this.mark();
    this.say(loops ? `Loop: ${this.looped()}` : "The whole solo");
  }

  /** What is looped, in words. */
  looped() {
    if (this.isWhole) return "the whole solo";
    const [one, other] = this.ends().map((bar) => this.score.bars[bar].number);
    return one === other ? `bar ${one}` : `bars ${one} to ${other}`;
  }

  /** The first and last bar of what is played. */
  ends() {
    return endsOf(this.player.stretch, this.score);
  }

  get isWhole() {
    return isWhole(this.player.stretch, this.score);
  }

  loopFrom(bar = barAt(this.score, this.player.place)) {
    this.setBars(...loopedFrom(bar, this.player.stretch, this.score));
  }

  loopTo(bar = barAt(this.score, this.player.place)) {
    this.setBars(...loopedTo(bar, this.player.stretch, this.score));
  }

  /** Begins or ends the loop at a note; once it begins there, the bar that is pressed next ends it. */
  loopAt(end, note) {
    const bar = this.tab.barOf(note);
    this.awaits = end === "from";
    if (!this.awaits) this.loopTo(bar);
    else {
      this.setBars(bar, bar);
      this.say(`From bar ${this.score.bars[bar].number}. Now press the last bar.`);
    }
  }

  /** A place of the tab was pressed: the music goes there, or the loop that has begun ends there. */
  press(ms) {
    const { awaits } = this;
    this.awaits = false;
    const bar = barAt(this.score, ms);
    if (awaits && bar >= this.ends()[0]) this.loopTo(bar);
    else this.player.move(ms);
  }

  /** Loops, or no more; where the whole solo would be, the bar of the note that is chosen. */
  turnLoop() {
    const bar = this.tab.barOf(this.tab.root.querySelector(".tt-chosen"));
    if (!this.player.loops && this.isWhole && bar >= 0) this.setBars(bar, bar);
    else this.setLoop(!this.player.loops);
  }

  setLoop(loops) {
    const { from, to } = this.player.stretch;
    const { place } = this.player;
    this.player.loops = loops;
    if (this.player.isPlaying && place >= from && place < to) this.player.move(place);
    this.say(loops ? `Loop on: ${this.looped()}` : "Loop off");
    this.update();
  }

  nextCounting() {
    const choice = this.field("countin");
    choice.selectedIndex = (choice.selectedIndex + 1) % choice.options.length;
    this.player.counting = choice.value;
    this.say(`Count-in: ${choice.selectedOptions[0].text}`);
  }

  // What is seen and said

  say(text, live = "polite") {
    this.said.ariaLive = live;
    this.said.textContent = text;
    clearTimeout(this.hushing);
    this.hushing = setTimeout(() => (this.said.textContent = ""), SAID);
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
