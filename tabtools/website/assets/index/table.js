// The table of all solos: sorted, filtered by the form above it, turned page by page where it is long.

import { counted, made } from "../page.js";
import { addressOf, askedOf } from "./address.js";
import { filterOf, orderBy, turnedTo } from "./filters.js";

export class IndexTable {
  constructor(form) {
    this.form = form;
    this.said = document.querySelector(".tt-found");
    this.pages = document.querySelector(".tt-pages");
    this.table = document.querySelector(".tt-index table");
    this.heads = [...this.table.tHead.rows[0].cells];
    this.rows = [...this.table.tBodies[0].rows];
    this.words = new Map(this.rows.map((row) => [row, row.textContent.toLowerCase()]));
    this.isPaged = this.table.matches(".tt-paged");
    this.table.classList.remove("tt-paged");
    this.turns = "";
    this.page = 1;
    this.choice = form.elements.sort;
    form.hidden = false;
    form.addEventListener("input", ({ target }) => this.ask(target.name));
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("reset", () => setTimeout(() => this.ask("reset")));
    for (const head of this.heads) head.firstChild.addEventListener("click", () => this.turnOrder(head.dataset.sort));
    addEventListener("popstate", () => this.restore());
    this.restore();
  }

  /** Shows what the address asks for. */
  restore() {
    const asked = askedOf(location.hash);
    for (const field of this.form.elements) if (field.name) field.value = asked.get(field.name)?.replace(/^-/, "") ?? "";
    this.isDown = asked.get("sort")?.startsWith("-") ?? false;
    this.page = Number(asked.get("page")) || 1;
    if ([...asked.keys()].some((name) => /-(from|to)$/.test(name))) this.form.querySelector("details").open = true;
    this.show();
  }

  /** Shows what the form asks for now, and has the address say so: going back leads to what was asked for before,
   * not to every letter of a word. */
  ask(name, page = 1) {
    if (name === "sort") this.isDown = false;
    this.page = page;
    this.show();
    const asked = new Map([...new FormData(this.form)].map(([field, value]) => [field, value.trim()]));
    if (this.isDown) asked.set("sort", `-${this.choice.value || "title"}`);
    if (this.page > 1) asked.set("page", this.page);
    const address = addressOf(asked) || location.pathname.replace(/^.*\//, "") || "./";
    history[name === this.turns ? "replaceState" : "pushState"](null, "", address);
    this.turns = name;
  }

  turnOrder(name) {
    const isSame = (this.choice.value || "title") === name;
    this.isDown = isSame && !this.isDown;
    this.choice.value = name === "title" ? "" : name;
    this.ask(`sort ${name}`);
  }

  /** What is asked for, as tests of a row, by the name of their field. */
  wanted() {
    const wanted = [];
    for (const field of this.form.elements) {
      const { name, value } = field;
      if (!name || name === "sort" || !value.trim()) continue;
      const said = field.closest("fieldset")
        ? `${field.closest("fieldset").firstChild.firstChild.textContent.replace(/, $/, "")} ${field.parentNode.firstChild.textContent.trim()} ${value}`
        : `${field.parentNode.firstChild.textContent.trim()} ${field.selectedOptions?.[0].textContent ?? value}`;
      wanted.push({ said, holds: filterOf(name, value, this.words) });
    }
    return wanted;
  }

  show() {
    this.sort(this.choice.value || "title");
    const wanted = this.wanted();
    const fits = (row, tests) => tests.every(({ holds }) => holds(row));
    const fitting = this.rows.filter((row) => fits(row, wanted));
    const turned = this.isPaged ? turnedTo(this.page, fitting) : { page: 1, last: 1, rows: fitting };
    const shown = new Set(turned.rows);
    for (const row of this.rows) row.hidden = !shown.has(row);
    this.page = turned.page;
    this.showPages(turned.last);
    if (fitting.length || !wanted.length) {
      this.said.textContent = wanted.length ? `${fitting.length} of ${counted(this.rows.length, "solo")}` : "";
      return;
    }
    const without = wanted
      .map((left) => {
        const rest = wanted.filter((one) => one !== left);
        return { said: left.said, count: this.rows.filter((row) => fits(row, rest)).length };
      })
      .sort((one, other) => other.count - one.count)[0];
    const advice =
      wanted.length > 1 && without.count
        ? `Without “${without.said}” there ${without.count === 1 ? "is" : "are"} ${counted(without.count, "solo")}.`
        : "Take some of it away, or show all.";
    this.said.textContent = `No solo fits. ${advice}`;
  }

  sort(name) {
    for (const head of this.heads) {
      const isIt = head.dataset.sort === name && (name !== "title" || this.isDown || this.sorted);
      if (isIt) head.setAttribute("aria-sort", this.isDown ? "descending" : "ascending");
      else head.removeAttribute("aria-sort");
    }
    const order = `${name} ${this.isDown}`;
    if (order === (this.sorted ?? "title false")) return;
    this.sorted = order;
    this.rows.sort(orderBy(name, !this.isDown));
    this.table.tBodies[0].append(...this.rows);
  }

  /** The ways to the pages before and after this one. */
  showPages(last) {
    this.pages.hidden = last === 1;
    const way = (said, page) => {
      const button = made("button", said);
      button.type = "button";
      button.disabled = page < 1 || page > last;
      button.addEventListener("click", () => {
        this.ask(`page ${page}`, page);
        this.table.parentNode.focus();
        this.table.scrollIntoView();
      });
      return button;
    };
    const here = made("span", `Page ${this.page} of ${last}`);
    this.pages.replaceChildren(way("Before", this.page - 1), here, way("After", this.page + 1));
  }
}
