// The search for a figure by its degrees or intervals, in an index that is loaded block by block as it is asked for.

import { counted, made } from "../page.js";
import { readFigureBlocks, readFigures, readPlaces } from "../records.js";
import { blocksWith, longestFound, readFigure, startsOf } from "./figures.js";

const MOST_SHOWN = 60;
const MOST_LOADED = 2; // blocks that are looked through for what to try, at each length
const HELP = {
  degrees: "Write degrees like b3 5 b7, two or more, with spaces between.",
  steps: "Write semitones up and down like 3 -1 4; 0.5 is a quarter tone.",
};

export class FigureSearch {
  constructor(form) {
    this.form = form;
    this.turn = 0;
    this.scripts = new Map();
    this.said = document.querySelector(".tt-figure-said");
    this.list = document.querySelector(".tt-figures-found");
    form.hidden = false;
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.search();
    });
  }

  /** What a script of the index has. It is a script so that it loads from a disk as well: it calls the function that
   * takes it over. */
  load(name) {
    const { scripts } = this;
    if (!scripts.has(name)) {
      const loaded = new Promise((done, failed) => {
        const script = made("script");
        script.src = new URL(name, new URL(this.form.dataset.index, document.baseURI));
        script.onerror = failed;
        scripts.set(name, { done });
        document.head.append(script);
      });
      Object.assign(scripts.get(name), { loaded });
      loaded.catch(() => scripts.delete(name));
    }
    globalThis.tabtoolsFigures = ([given, content]) => scripts.get(given)?.done(content);
    return scripts.get(name).loaded;
  }

  async block(place) {
    return readFigures(await this.load(`figures-${place}.js`));
  }

  async search() {
    const kind = this.form.elements.kind.value;
    const { values, wrong, isShort } = readFigure(kind, this.form.elements.figure.value);
    this.list.replaceChildren();
    if (wrong !== undefined || isShort) {
      this.said.textContent = `${wrong === undefined ? "" : `“${wrong}” cannot be looked for. `}${HELP[kind]}`;
      return;
    }
    this.turn += 1;
    const { turn } = this;
    try {
      const known = readFigureBlocks(await this.load("figures.js"));
      const told = await this.listed(kind, values, blocksWith(kind, values, known), () => turn !== this.turn);
      const said = told ?? (await this.advice(kind, values, known));
      if (turn === this.turn) this.said.textContent = said;
    } catch {
      this.said.textContent = "The index could not be loaded. Try again when the site can be reached.";
    }
  }

  /** Lists the places in these blocks, until there are enough; what is said of them, null if there are none. */
  async listed(kind, values, blocks, isOver) {
    let count = 0;
    let shown = 0;
    let looked = 0;
    for (const place of blocks) {
      if (shown >= MOST_SHOWN) break;
      const solos = await this.block(place);
      if (isOver()) return "";
      looked += 1;
      for (const solo of solos) {
        const found = startsOf(kind, values, solo);
        count += found.length;
        const listed = found.slice(0, MOST_SHOWN - shown);
        if (listed.length) this.list.append(this.entry(solo, listed));
        shown += listed.length;
      }
    }
    return count ? this.told(count, shown, looked === blocks.length) : null;
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

  told(count, shown, isAll) {
    if (!isAll) return `The first ${shown} places are listed, and there are more. A longer figure finds fewer.`;
    return `${counted(count, "place")}${shown < count ? `; the first ${shown} are listed. A longer figure finds fewer.` : ""}`;
  }

  /** What to try where nothing was found. A beginning that can be found is counted in the first block that has it. */
  async advice(kind, values, known) {
    for (let length = values.length - 1; length > 0; length -= 1) {
      for (const place of blocksWith(kind, values.slice(0, length), known).slice(0, MOST_LOADED)) {
        const found = longestFound(kind, values.slice(0, length + 1), await this.block(place));
        if (!found || found.length < length) continue;
        const more = known.blocks > 1 ? " and more" : "";
        return `Nothing found. The first ${length} alone are found ${counted(found.count, "time")}${more}: try fewer.`;
      }
    }
    return `Nothing found. ${HELP[kind]} Try a shorter figure, or the other way of looking.`;
  }
}
