// The table of all solos: sorting, and the filters of the form above it.

import { counted, made } from "../page.js";
import { filterOf, orderBy } from "./filters.js";

export class IndexTable {
  constructor(form) {
    this.form = form;
    this.said = document.querySelector(".tt-found");
    this.table = document.querySelector(".tt-index table");
    this.rows = [...this.table.tBodies[0].rows];
    this.words = new Map(this.rows.map((row) => [row, row.textContent.toLowerCase()]));
    form.hidden = false;
    form.addEventListener("input", () => this.filter());
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("reset", () => setTimeout(() => this.filter()));
    for (const head of this.table.tHead.rows[0].cells) {
      const button = made("button", head.textContent);
      button.type = "button";
      button.addEventListener("click", () => this.sort(head));
      head.replaceChildren(button);
    }
    this.choice = this.sorter();
    this.filter();
  }

  /** The same choice for narrow pages, where the table has no heads. */
  sorter() {
    const label = made("label", "Sorted by ");
    const select = made("select");
    for (const head of this.table.tHead.rows[0].cells) select.append(new Option(head.textContent, head.dataset.sort));
    select.addEventListener("change", () =>
      this.sort(this.table.tHead.querySelector(`[data-sort="${select.value}"]`), true),
    );
    label.append(select);
    label.className = "tt-sorter";
    this.form.append(label);
    return select;
  }

  sort(head, upwards = head.getAttribute("aria-sort") !== "ascending") {
    const name = head.dataset.sort;
    const sorted = [...this.rows].sort(orderBy(name, upwards));
    for (const other of this.table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", upwards ? "ascending" : "descending");
    this.choice.value = name;
    this.table.tBodies[0].append(...sorted);
  }

  /** What is asked for, as tests of a row, by the name of their field. */
  wanted() {
    const wanted = [];
    for (const field of this.form.elements) {
      const { name, value } = field;
      if (!name || !value.trim()) continue;
      const said = field.closest("fieldset")
        ? `${field.closest("fieldset").firstChild.firstChild.textContent.replace(/, $/, "")} ${field.parentNode.firstChild.textContent.trim()} ${value}`
        : `${field.parentNode.firstChild.textContent.trim()} ${field.selectedOptions?.[0].textContent ?? value}`;
      wanted.push({ said, holds: filterOf(name, value, this.words) });
    }
    return wanted;
  }

  filter() {
    const wanted = this.wanted();
    const fits = (row, tests) => tests.every(({ holds }) => holds(row));
    let count = 0;
    for (const row of this.rows) {
      row.hidden = !fits(row, wanted);
      count += !row.hidden;
    }
    if (count || !wanted.length) {
      this.said.textContent = wanted.length ? `${count} of ${counted(this.rows.length, "solo")}` : "";
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
}
