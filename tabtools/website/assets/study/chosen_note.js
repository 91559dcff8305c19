// The chosen note and all that is known of it, and the claims and devices that light their notes.

import { made } from "../page.js";
import { readRuns } from "../records.js";

const FINGER = /, finger of the fretting hand \w+/; // which is told in a row of its own

export class ChosenNote {
  /** `loop` has a loop begin ("from") or end ("to") at a note. */
  constructor(tab, records, loop) {
    this.tab = tab;
    this.loop = loop;
    this.records = records;
    this.notes = [...tab.querySelectorAll(".note")];
    for (const note of this.notes) {
      note.setAttribute("role", "button");
      note.setAttribute("tabindex", "-1");
    }
    this.stop = 0;
    this.rove(0);
    this.numbers = new Map(this.notes.map((note, number) => [note, number]));
    this.panel = document.querySelector(".tt-known");
    this.said = this.panel.querySelector(".tt-known-said");
    this.chosen = -1;
    this.pinned = [];
    this.speakers = [...document.querySelectorAll("[data-notes]")].map((element) => ({
      element,
      notes: readRuns(element.dataset.notes),
    }));
    this.listen();
  }

  listen() {
    this.tab.addEventListener("click", (event) => {
      const number = this.pointed(event);
      if (number >= 0) this.choose(number);
    });
    this.tab.addEventListener("keydown", (event) => this.key(event));
    this.tab.addEventListener("keyup", (event) => {
      if (!/^(Arrow(Left|Right)|Home|End)$/.test(event.key)) return;
      const note = this.tab.querySelector(".tt-now .note");
      if (note) this.focus(this.numbers.get(note));
    });
    this.panel.addEventListener("click", (event) => {
      const go = event.target.closest("[data-go]");
      if (go) this.go(Number(go.dataset.go));
      const end = event.target.closest("[data-loop]")?.dataset.loop;
      if (end) this.loop(end, this.notes[this.chosen]);
    });
    this.panel.addEventListener("keydown", (event) => {
      if (event.key === "Escape") this.go(0);
    });
    for (const { element, notes } of this.speakers) {
      const light = () => this.light(notes);
      const dark = () => this.light(this.pinned);
      element.addEventListener("pointerenter", light);
      element.addEventListener("pointerleave", dark);
      element.addEventListener("focusin", light);
      element.addEventListener("focusout", dark);
      element.addEventListener("click", () => {
        this.pinned = notes;
        light();
        if (element.matches(".tt-claim")) this.choose(notes[0], false);
      });
    }
  }

  /** Enter chooses the note that has the focus and moves the player there; up and down are notes struck with it. */
  key(event) {
    const note = event.target.closest(".note");
    if (!note || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "Enter") note.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    else if (/^Arrow(Up|Down)$/.test(event.key)) {
      const height = (one) => one.getBoundingClientRect().top;
      const struck = [...note.closest(".stroke").querySelectorAll(".note")].sort((a, b) => height(a) - height(b));
      const next = struck[struck.indexOf(note) + (event.key === "ArrowUp" ? -1 : 1)];
      if (struck.length < 2) return;
      if (next) this.focus(this.numbers.get(next));
    } else return;
    event.preventDefault();
  }

  /** Chooses a note and takes the focus there; what a screen reader says of it then need not be said twice. */
  focus(number) {
    this.notes[number].focus({ preventScroll: true });
    this.choose(number);
  }

  /** Of all notes one is reached by the Tab key, the arrows lead to the others. */
  rove(number) {
    this.notes[this.stop]?.setAttribute("tabindex", "-1");
    this.notes[number]?.setAttribute("tabindex", "0");
    this.stop = number;
  }

  /** The number of the note that a press means: the one pressed, or the nearest stroke of its bar. */
  pointed(event) {
    const own = event.target.closest(".note");
    if (own) return this.numbers.get(own);
    const bar = event.target.closest(".tt-bar");
    const away = (note) => {
      const box = (note.querySelector(".fret") ?? note).getBoundingClientRect();
      return Math.hypot(box.x + box.width / 2 - event.clientX, (box.y + box.height / 2 - event.clientY) / 3);
    };
    const notes = [...(bar?.querySelectorAll(".note") ?? [])];
    const near = notes.reduce((best, note) => (!best || away(note) < away(best) ? note : best), null);
    return near && away(near) < 48 ? this.numbers.get(near) : -1;
  }

  go(by) {
    if (!by) {
      this.panel.hidden = true;
      this.pinned = [];
      this.light([]);
      this.release();
      (this.notes[this.stop] ?? this.tab).focus({ preventScroll: true });
      return;
    }
    this.choose(Math.min(Math.max(0, this.chosen + by), this.notes.length - 1));
    this.notes[this.chosen].scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  release() {
    this.notes[this.chosen]?.classList.remove("tt-chosen");
    this.notes[this.chosen]?.removeAttribute("aria-current");
    this.chosen = -1;
  }

  choose(number) {
    this.release();
    this.chosen = number;
    this.rove(number);
    const note = this.notes[number];
    note.classList.add("tt-chosen");
    note.setAttribute("aria-current", "true");
    this.said.ariaLive = document.activeElement === note ? "off" : "polite";
    const { kind, rule, sentence, finger, position } = this.records[number];
    const bar = note.closest(".tt-bar").querySelector(".number")?.textContent;
    const rows = [
      [bar ? `Bar ${bar}` : "Pickup", note.querySelector("title").textContent.replace(FINGER, "")],
      [kind[0].toUpperCase() + kind.slice(1), `${sentence} (rule: ${rule})`],
    ];
    if (finger) rows.push(["Hand", [finger, position].filter(Boolean).join(", ")]);
    const list = made("dl");
    for (const [name, text] of rows) {
      const row = made("div");
      row.append(made("dt", name), made("dd", text));
      list.append(row);
    }
    this.said.replaceChildren(list);
    this.name("Devices", number, (element) => element.matches("li"));
    this.name("Said of it", number, (element) => element.matches(".tt-claim"));
    this.panel.hidden = false;
    note.scrollIntoView({ block: "nearest", inline: "nearest" }); // it may lie under the panel
  }

  /** Lists what speaks of a note, each a link to where it stands. */
  name(title, number, belongs) {
    const found = this.speakers.filter(({ element, notes }) => belongs(element) && notes.includes(number));
    if (!found.length) return;
    const list = made("ul");
    for (const { element } of found) {
      element.id ||= `tt-said-${this.speakers.findIndex((one) => one.element === element)}`;
      const parts = [...element.childNodes].map((part) => (part.matches?.(".tt-loop") ? ";" : part.textContent));
      const link = made("a", parts.join("").replace(/\s+/g, " ").replace(/ ;/g, ";").replace(/[;\s]+$/, "").trim());
      link.href = `#${element.id}`;
      link.addEventListener("click", () => {
        const folded = element.closest("details");
        if (folded) folded.open = true;
      });
      const item = made("li");
      item.append(link);
      list.append(item);
    }
    this.said.append(made("p", title, "tt-known-title"), list);
  }

  light(numbers) {
    for (const note of this.tab.querySelectorAll(".tt-lit")) note.classList.remove("tt-lit");
    for (const number of numbers) this.notes[number]?.classList.add("tt-lit");
  }
}
