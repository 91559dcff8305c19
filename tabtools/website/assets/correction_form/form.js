// The text of a bar, edited on the page. Nothing is sent from here.

import { made } from "../page.js";
import { readWritten } from "../records.js";
import { faultOf, placesOf } from "./faults.js";
import { clock, compared, linesOf, patchOf, visible } from "./patch.js";

const LONGEST_LINK = { web: 6000, mail: 1800 }; // from memory: some mail programs are handed no more than 2,000
const MOST_SHOWN = 40; // lines of one place among the changes
const NEAR = 4; // bars from a time written in the solo, within which others are reckoned from it

export class CorrectionForm {
  /** `practice` gives what is practised on the page, where it is. */
  constructor(section, tab, practice) {
    this.section = section;
    this.tab = tab;
    this.practice = practice;
    this.data = readWritten(JSON.parse(section.querySelector(".tt-written").textContent));
    this.lines = linesOf(this.data.text);
    this.places = placesOf(this.data);
    this.edits = new Map();
    this.place = null;
    this.patch = "";
    this.isTaken = false;
    this.reckoned = "";
    this.form = section.querySelector("form");
    this.choice = section.querySelector("select");
    this.part = (name) => section.querySelector(`.tt-suggest-${name}`);
    this.button = (does) => section.querySelector(`[data-suggest="${does}"]`);
    this.places.forEach((place, at) => this.choice.append(new Option(place.label, at)));
    this.choice.selectedIndex = this.places.findIndex((place) => place.bar === 0);
    this.listen();
    this.pointHere();
    section.hidden = false;
  }

  /** A line right under the tab that leads to the form. */
  pointHere() {
    const [line, link] = [made("p", "", "tt-suggest-hint"), made("a", "Say what you hear")];
    link.href = "#suggest";
    line.append("Does a bar sound otherwise to you? ", link);
    this.tab.after(line);
  }

  field(name) {
    return this.form.elements.namedItem(name);
  }

  listen() {
    const does = {
      open: (event) => this.open(this.places[this.choice.value], event.target),
      repeated: () => this.open(this.places.find((place) => place.number === this.place.repeats)),
      reset: () => this.reset(),
      close: () => this.close(),
      copy: () => this.copy(),
      download: () => this.download(),
    };
    for (const [name, done] of Object.entries(does)) this.button(name).addEventListener("click", done);
    this.button("send")?.addEventListener("click", () => (this.isTaken = true));
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.make();
    });
    this.form.addEventListener("input", () => this.typed());
    this.tab.addEventListener("click", (event) => {
      const bar = this.barOf(event.target);
      if (bar >= 0 && this.form.hidden) this.choice.value = this.placeOf(bar);
    });
    const panel = document.querySelector(".tt-known-bar");
    if (!panel) return;
    const button = made("button", "Suggest a correction");
    button.type = "button";
    button.addEventListener("click", () => {
      const bar = this.barOf(this.tab.querySelector(".tt-chosen"));
      if (bar >= 0) this.open(this.places[this.placeOf(bar)], button);
    });
    panel.insertBefore(button, panel.lastElementChild);
  }

  barOf(element) {
    return [...this.tab.querySelectorAll(".tt-bar")].indexOf(element?.closest(".tt-bar"));
  }

  placeOf(bar) {
    return this.places.findIndex((place) => place.bar === bar);
  }

  // The form

  open(place, opener) {
    if (this.isTaken && place.start !== this.place.start) this.renew();
    this.back = opener ?? this.back;
    this.place = place;
    this.choice.value = this.places.indexOf(place);
    this.form.hidden = false;
    this.form.querySelector("h3").textContent = place.label;
    this.draw();
    this.sayRepeats();
    const text = this.field("text");
    text.value = this.textOf(place);
    text.rows = Math.min(16, Math.max(4, linesOf(text.value).length + 1));
    this.reckon();
    this.fault("");
    this.button("reset").disabled = !this.edits.has(place.start);
    const title = this.form.querySelector("h3");
    title.focus({ preventScroll: true });
    title.scrollIntoView({ block: "start" });
  }

  /** What was copied, saved or sent is done with: another bar is another correction. */
  renew() {
    this.edits.clear();
    for (const name of ["reason", "at"]) this.field(name).value = "";
    this.reckoned = "";
    this.isTaken = false;
    this.part("result").hidden = true;
    this.preview();
    this.say("This is a new correction; the one you took is not in it.");
  }

  close() {
    this.form.hidden = true;
    const back = this.back?.getClientRects().length ? this.back : this.choice;
    back.focus();
  }

  /** The bar as the page draws it, without what makes it part of the tab. */
  draw() {
    const drawn = this.part("drawn");
    const bar = this.tab.querySelectorAll(".tt-bar")[this.place.bar]?.cloneNode(true);
    drawn.hidden = !bar;
    if (!bar) return;
    for (const one of bar.querySelectorAll(".tt-cursor, .tt-span, .tt-piece > script")) one.remove();
    for (const one of [bar, ...bar.querySelectorAll("*")]) {
      for (const name of ["id", "tabindex", "aria-current"]) one.removeAttribute(name);
      if (one.matches(".note")) one.removeAttribute("role");
      one.classList.remove("tt-now", "tt-chosen", "tt-lit");
    }
    drawn.replaceChildren(bar);
    if (drawn.scrollWidth > drawn.clientWidth) drawn.tabIndex = 0;
    else drawn.removeAttribute("tabindex");
  }

  sayRepeats() {
    const { number, repeats, first, last } = this.place;
    const others = this.places.filter((place) => place.repeats === number && number !== undefined);
    const said = this.part("repeats");
    const button = this.button("repeated");
    button.hidden = repeats === undefined;
    said.hidden = repeats === undefined && !others.length;
    if (repeats !== undefined) {
      const all = first === last ? "" : ` It stands for bars ${first} to ${last}.`;
      said.firstElementChild.textContent = `Bar ${number} repeats bar ${repeats}: this is the line that says so.${all}`;
      button.textContent = `Correct bar ${repeats} instead`;
    } else if (others.length) {
      const [one, more] = [others[0].number, others.length - 1];
      const list = more ? `Bar ${one} and ${more} more repeat` : `Bar ${one} repeats`;
      said.firstElementChild.textContent = `${list} this bar: what you correct here is corrected there too.`;
    }
  }

  /** Where the bar is in the recording, as far as the times written in the solo or an opened file tell. */
  reckon() {
    const at = this.field("at");
    const practice = this.practice();
    const { bar } = this.place;
    if ((at.value && at.value !== this.reckoned) || bar < 0 || !practice) return;
    const { bars } = practice.score;
    const { recording, place } = practice.player;
    const marked = bars.flatMap((one, index) => (one.recordedAt === undefined ? [] : [index]));
    const isNear = marked.some((index) => Math.abs(index - bar) <= NEAR) || (marked[0] < bar && bar < marked.at(-1));
    const { start, end } = bars[bar];
    const moment = recording.isLoaded && place >= start && place < end ? place : start;
    let seconds = -1;
    if (isNear) seconds = recording.marks.secondsOf(moment);
    else if (recording.isLoaded) seconds = recording.secondsOf(moment);
    const isWritten = moment === start && marked.includes(bar);
    at.value = this.reckoned = seconds >= 0 ? clock(isWritten ? seconds : Math.round(seconds)) : "";
  }

  // The text

  written(place) {
    return this.lines.slice(place.start, place.end).join("").replace(/\n$/, "");
  }

  textOf(place) {
    return this.edits.get(place.start) ?? this.written(place);
  }

  /** A text as it goes into the solo: no blank lines around it, no white space left behind its lines. */
  tidied(place, text) {
    const own = new Set(this.written(place).split("\n"));
    const lines = text.split("\n").map((line) => (own.has(line) ? line : line.trimEnd()));
    while (lines.length && !lines.at(-1).trim()) lines.pop();
    const first = lines.findIndex((line) => line.trim());
    return lines.slice(Math.max(0, first)).join("\n");
  }

  typed() {
    const text = this.tidied(this.place, this.field("text").value);
    if (text === this.written(this.place)) this.edits.delete(this.place.start);
    else this.edits.set(this.place.start, this.field("text").value);
    this.button("reset").disabled = !this.edits.has(this.place.start);
    this.part("result").hidden = true;
    this.say("");
    this.fault("");
    this.preview();
  }

  reset() {
    this.edits.delete(this.place.start);
    const text = this.field("text");
    text.value = this.written(this.place);
    this.typed();
    text.focus();
    this.say("It is as it was.");
  }

  /** The places that are changed, one for all that share their lines, in the order of the text. */
  changedPlaces() {
    return this.places.filter(
      (place, at) => this.edits.has(place.start) && this.places.findIndex((one) => one.start === place.start) === at,
    );
  }

  preview() {
    const list = this.part("change").lastElementChild;
    list.replaceChildren();
    for (const place of this.changedPlaces()) {
      list.append(made("p", place.lines));
      const rows = made("ul");
      const [old, now] = [this.written(place), this.tidied(place, this.textOf(place))].map((text) => text.split("\n"));
      const lines = compared(old, now).filter(([how]) => how !== " ");
      for (const [how, line] of lines.slice(0, MOST_SHOWN)) {
        const row = made("li");
        row.append(made("span", how === "-" ? "was" : "now"), made(how === "-" ? "del" : "ins", visible(line)));
        rows.append(row);
      }
      list.append(rows);
      if (lines.length > MOST_SHOWN) list.append(made("p", `and ${lines.length - MOST_SHOWN} lines more`));
    }
    this.part("change").hidden = !list.children.length;
  }

  fault(text) {
    this.part("fault").textContent = text;
    this.field("text").setAttribute("aria-invalid", Boolean(text));
  }

  // The patch

  make() {
    this.isTaken = false;
    const changedPlaces = this.changedPlaces();
    const isOpen = (place) => place.start === this.place.start;
    for (const place of changedPlaces.sort((one, other) => isOpen(other) - isOpen(one))) {
      const fault = faultOf(place, this.tidied(place, this.textOf(place)), this.data);
      if (fault) {
        this.refuse(place, fault);
        return;
      }
    }
    if (!changedPlaces.length) {
      this.refuse(this.place, "Nothing is changed yet. Write above what should stand there.");
      return;
    }
    const text = this.corrected();
    if (new TextEncoder().encode(text).length > this.data.mostBytes) {
      this.refuse(this.place, "The whole solo would be too long. Write less here.");
      return;
    }
    const [credit, at, reason] = ["credit", "at", "reason"].map((name) => this.field(name).value);
    this.patch = patchOf(this.data, text, { credit, at, reason });
    this.part("patch").value = this.patch;
    this.part("patch").rows = Math.min(28, linesOf(this.patch).length + 1);
    this.offer();
    this.part("result").hidden = false;
    this.section.querySelector("#suggest-result").focus();
    this.say("The patch is ready.");
  }

  refuse(place, fault) {
    if (place.start !== this.place.start) this.open(place);
    this.part("result").hidden = true;
    this.fault(fault);
    this.field("text").focus();
  }

  /** The whole solo with all that was changed. */
  corrected() {
    const parts = [];
    let at = 0;
    for (const place of this.changedPlaces().sort((one, other) => one.start - other.start)) {
      const end = this.lines[place.end - 1].endsWith("\n") ? "\n" : "";
      parts.push(...this.lines.slice(at, place.start), this.tidied(place, this.textOf(place)) + end);
      at = place.end;
    }
    return [...parts, ...this.lines.slice(at)].join("");
  }

  get about() {
    return this.changedPlaces()
      .map((place) => place.lines.toLowerCase())
      .join(", ");
  }

  /** Leads to where corrections are taken, filled in as far as its address can be. */
  offer() {
    const address = this.data.issues;
    if (!address) return;
    const isMail = /^mailto:/i.test(address);
    const body = isMail ? this.patch.replaceAll("\n", "\r\n") : this.fenced();
    const filled = (text) =>
      address
        .replace("{title}", () => encodeURIComponent(`Correction for ${this.data.title}: ${this.about}`))
        .replace("{body}", () => encodeURIComponent(text));
    const isShort = filled(body).length <= LONGEST_LINK[isMail ? "mail" : "web"];
    this.button("send").href = isShort ? filled(body) : filled("The patch is attached.");
    this.part("sending").textContent = !address.includes("{body}")
      ? "Copy or download it first, then put it into what opens."
      : isShort
        ? "What opens is filled in already; look it over before you send it."
        : "It is too long for a link: download it, and attach the file.";
  }

  fenced() {
    const longest = Math.max(2, ...[...this.patch.matchAll(/`+/g)].map(([ticks]) => ticks.length));
    const fence = "`".repeat(longest + 1);
    return `${fence}diff\n${this.patch}${fence}\n`;
  }

  async copy() {
    let isCopied = true;
    try {
      await navigator.clipboard.writeText(this.patch);
    } catch {
      const patch = this.part("patch");
      patch.select();
      isCopied = document.execCommand("copy");
      this.button("copy").focus();
    }
    this.isTaken = this.isTaken || isCopied;
    this.say(isCopied ? "Copied." : "The browser did not copy it. Choose the text below and copy it yourself.");
  }

  download() {
    const address = URL.createObjectURL(new Blob([this.patch], { type: "text/x-patch" }));
    const link = made("a");
    link.href = address;
    link.download = `${this.data.name}-${this.about.replace(/[^a-z0-9]+/g, "-").slice(0, 40)}.patch`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
    this.isTaken = true;
    this.say(`Saved as ${link.download}.`);
  }

  say(text) {
    this.part("said").textContent = text;
  }
}
