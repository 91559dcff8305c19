// What is wrong with the solo, and what has just changed: a panel beside the page.

import { counted, made } from "../page.js";
import { barsNamed } from "./bars_named.js";
import { Marking } from "./marking.js";

/** How findings are counted: a note is what is played. */
const NOUNS = { error: "error", warning: "warning", note: "remark" };

/** `1 error, 2 remarks`. */
export const summed = (counts) =>
  Object.keys(NOUNS)
    .filter((one) => counts[one])
    .map((one) => counted(counts[one], NOUNS[one]))
    .join(", ");

const MOST_NAMED = 4;

/** How many findings some rows tell of; one that tells of many says of how many. */
const found = (rows) => rows.reduce((sum, row) => sum + Number(row.dataset.count ?? 1), 0);

export class Panel {
  constructor() {
    this.root = made("aside", "", "tt-bench");
    this.root.setAttribute("aria-label", "Bench");
    this.details = made("details");
    this.summary = made("summary");
    this.said = made("p", "", "tt-bench-changed");
    this.said.setAttribute("role", "status");
    this.list = made("div", "", "tt-bench-list");
    this.details.append(this.summary, this.list);
    this.marking = new Marking();
    this.root.append(this.said, this.details, this.marking.root);
    document.body.append(this.root);
  }

  /** Shows what a page says of itself, and which bars changed; null where none was here before. */
  show(page, changed) {
    const said = page.querySelector(".tt-bench-said").content.cloneNode(true);
    const rows = [...said.querySelectorAll("li")];
    const counts = Object.fromEntries(
      Object.keys(NOUNS).map((one) => [one, found(rows.filter((row) => row.matches(`.tt-${one}`)))]),
    );
    const isSolo = document.querySelector(".tt-tab") !== null;
    this.summary.textContent = summed(counts) || "Nothing found";
    this.details.hidden = !rows.length;
    this.details.open ||= counts.error > 0 && !this.hasErrors;
    this.hasErrors = counts.error > 0;
    this.list.replaceChildren(said);
    this.root.hidden = !isSolo && !this.list.childNodes.length;
    this.root.classList.toggle("tt-has-errors", this.hasErrors);
    this.mark();
    this.marking.renew();
    if (changed) this.tell(changed);
  }

  /** Marks the bars that something is wrong with. */
  mark() {
    for (const link of this.list.querySelectorAll("h3 a")) {
      const bar = document.getElementById(link.hash.slice(1));
      const isWrong = link.closest("section").querySelector(".tt-error") !== null;
      bar?.classList.add(isWrong ? "tt-is-wrong" : "tt-is-open");
    }
  }

  tell(changed) {
    const bars = changed.length <= MOST_NAMED ? barsNamed(changed) : counted(changed.length, "bar");
    this.said.textContent = changed.length ? `Saved: ${bars} changed.` : "Saved.";
    for (const id of changed) document.getElementById(id).classList.add("tt-has-changed");
  }
}
