// The search for a figure by its degrees or intervals, in an index that is loaded when it is first asked for.

import { counted, made } from "../page.js";
import { readFigures, readPlaces } from "../records.js";
import { longestFound, readFigure, startsOf } from "./figures.js";

const MOST_SHOWN = 60;
const HELP = {
  degrees: "Write degrees like b3 5 b7, two or more, with spaces between.",
  steps: "Write semitones up and down like 3 -1 4; 0.5 is a quarter tone.",
};

export class FigureSearch {
  constructor(form) {
    this.form = form;
    this.said = document.querySelector(".tt-figure-said");
    this.list = document.querySelector(".tt-figures-found");
    form.hidden = false;
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.search();
    });
  }

  /** The index is a script, so that it loads from a disk as well: it calls the function that waits for it. */
  load() {
    this.index ??= new Promise((done, failed) => {
      globalThis.tabtoolsFigures = (packed) => done(readFigures(packed));
      const script = made("script");
      script.src = this.form.dataset.index;
      script.onerror = failed;
      document.head.append(script);
    });
    return this.index;
  }

  async search() {
    const kind = this.form.elements.kind.value;
    const { values, wrong, isShort } = readFigure(kind, this.form.elements.figure.value);
    this.list.replaceChildren();
    if (wrong !== undefined || isShort) {
      this.said.textContent = `${wrong === undefined ? "" : `“${wrong}” cannot be looked for. `}${HELP[kind]}`;
      return;
    }
    let solos;
    try {
      solos = await this.load();
    } catch {
      this.index = undefined;
      this.said.textContent = "The index could not be loaded. Try again when the site can be reached.";
      return;
    }
    let count = 0;
    let shown = 0;
    for (const solo of solos) {
      const found = startsOf(kind, values, solo);
      count += found.length;
      const listed = found.slice(0, MOST_SHOWN - shown);
      if (listed.length) this.list.append(this.entry(solo, listed));
      shown += listed.length;
    }
    this.said.textContent = count ? this.told(count, shown) : this.advice(kind, values, solos);
  }

  /** A solo with the places of these strokes. */
  entry({ address, title, places }, strokes) {
    const addresses = readPlaces(places);
    const item = made("li");
    item.append(made("strong", title), ": ");
    strokes.forEach((at, nth) => {
      const [bar, count] = addresses[at].split(".");
      const link = made("a", `bar ${bar}, count ${count}`, "tt-place-link");
      link.href = `${address}#b${addresses[at]}`;
      item.append(nth ? ", " : "", link);
    });
    return item;
  }

  told(count, shown) {
    return `${counted(count, "place")}${shown < count ? `; the first ${shown} are listed. A longer figure finds fewer.` : ""}`;
  }

  /** What to try where nothing was found. */
  advice(kind, values, solos) {
    const found = longestFound(kind, values, solos);
    return found
      ? `Nothing found. The first ${found.length} alone are found ${counted(found.count, "time")}: try fewer.`
      : `Nothing found. ${HELP[kind]} Try a shorter figure, or the other way of looking.`;
  }
}
