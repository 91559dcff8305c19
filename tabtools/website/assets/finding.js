// The index: sorting, filters, and the search for a figure by its degrees or intervals.

(() => {
  "use strict";

  const MOST_SHOWN = 60;
  const NUMBERS = ["tempo", "rate", "reach", "bend"];
  const LISTS = ["technique", "device", "chord"];
  const LETTERS = { 1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 8: 0, 9: 2, 10: 4, 11: 5, 12: 7, 13: 9 };
  const HELP = {
    degrees: "Write degrees like b3 5 b7, two or more, with spaces between.",
    steps: "Write semitones up and down like 3 -1 4; 0.5 is a quarter tone.",
  };

  const made = (tag, text) => Object.assign(document.createElement(tag), { textContent: text ?? "" });
  const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

  class Listing {
    constructor(form) {
      this.form = form;
      this.said = document.querySelector(".tt-found");
      this.table = document.querySelector(".tt-index table");
      this.rows = [...this.table.tBodies[0].rows];
      this.words = this.rows.map((row) => row.textContent.toLowerCase());
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
      const order = new Intl.Collator(undefined, { numeric: true, sensitivity: "base" }).compare;
      const sign = upwards ? 1 : -1;
      const value = (row) => row.dataset[name];
      const sorted = [...this.rows].sort(
        (one, other) => !value(one) - !value(other) || sign * order(value(one), value(other)),
      );
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
        wanted.push({ said, holds: this.test(name, value) });
      }
      return wanted;
    }

    test(name, value) {
      if (name === "words") {
        const words = value.toLowerCase().split(/\s+/).filter(Boolean);
        return (row) => words.every((word) => this.words[this.rows.indexOf(row)].includes(word));
      }
      const [fact, end] = name.split("-");
      if (NUMBERS.includes(fact)) {
        return (row) => (end === "from" ? Number(row.dataset[fact]) >= value : Number(row.dataset[fact]) <= value);
      }
      if (LISTS.includes(fact)) return (row) => row.dataset[fact].split(" ").includes(value);
      return (row) => row.dataset[fact] === value;
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

  /** `b3` as semitones above the root, null if it is none. */
  const degreeOf = (word) => {
    const [, signs, number] = /^((?:bb|b|#|♭♭|♭|♯)?)(\d{1,2})$/.exec(word) ?? [];
    if (!(number in LETTERS)) return null;
    const moved = [...signs].reduce((sum, sign) => sum + (sign === "b" || sign === "♭" ? -1 : 1), 0);
    return (LETTERS[number] + moved + 12) % 12;
  };

  /** `3` as quarter tones, null if it is no interval. */
  const stepOf = (word) => (/^[+\-−]?\d{1,2}(\.[05])?$/.test(word) ? 2 * Number(word.replace("−", "-")) : null);

  class Figures {
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

    load() {
      this.index ??= new Promise((done, failed) => {
        window.tabtoolsFigures = done;
        const script = made("script");
        script.src = this.form.dataset.index;
        script.onerror = failed;
        document.head.append(script);
      });
      return this.index;
    }

    async search() {
      const kind = this.form.elements.kind.value;
      const words = this.form.elements.figure.value.replace(/,/g, " ").split(/\s+/).filter(Boolean);
      const figure = words.map(kind === "degrees" ? degreeOf : stepOf);
      this.list.replaceChildren();
      const wrong = figure.indexOf(null);
      if (wrong >= 0 || figure.length < (kind === "degrees" ? 2 : 1)) {
        this.said.textContent = `${wrong >= 0 ? `“${words[wrong]}” cannot be looked for. ` : ""}${HELP[kind]}`;
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
      for (const [href, title, steps, degrees, lines] of solos) {
        const found = this.starts(kind, figure, steps, degrees);
        if (!found.length) continue;
        count += found.length;
        if (shown >= MOST_SHOWN) continue;
        const places = addresses(lines);
        const item = made("li");
        item.append(made("strong", title), ": ");
        found.slice(0, MOST_SHOWN - shown).forEach((at, nth) => {
          const link = made("a", `bar ${places[at].split(".")[0]}, count ${places[at].split(".")[1]}`);
          link.className = "tt-place-link";
          link.href = `${href}#b${places[at]}`;
          item.append(nth ? ", " : "", link);
          shown += 1;
        });
        this.list.append(item);
      }
      this.said.textContent = count ? this.told(count, shown) : this.advice(kind, figure, solos);
    }

    told(count, shown) {
      return `${counted(count, "place")}${shown < count ? `; the first ${shown} are listed. A longer figure finds fewer.` : ""}`;
    }

    /** What to try where nothing was found: the longest beginning that is there. */
    advice(kind, figure, solos) {
      for (let length = figure.length - 1; length >= (kind === "degrees" ? 2 : 1); length -= 1) {
        const part = figure.slice(0, length);
        const count = solos.reduce((sum, [, , steps, degrees]) => sum + this.starts(kind, part, steps, degrees).length, 0);
        if (count) return `Nothing found. The first ${length} alone are found ${counted(count, "time")}: try fewer.`;
      }
      return `Nothing found. ${HELP[kind]} Try a shorter figure, or the other way of looking.`;
    }

    /** The first strokes of all places. */
    starts(kind, figure, steps, degrees) {
      const found = [];
      const column = kind === "degrees" ? degrees : steps;
      const first = kind === "degrees" ? 0 : 1;
      for (let at = first; at + figure.length <= column.length; at += 1) {
        if (figure.every((wanted, place) => column[at + place] === wanted)) found.push(at - first);
      }
      return found;
    }
  }

  /** `5.2 3` as the addresses of three strokes. */
  const addresses = (lines) => {
    const words = lines.split(" ");
    const found = [];
    for (let at = 0; at + 1 < words.length; at += 2) {
      for (let stroke = 1; stroke <= Number(words[at + 1]); stroke += 1) found.push(`${words[at]}.${stroke}`);
    }
    return found;
  };

  const filters = document.querySelector(".tt-filters");
  if (filters) new Listing(filters);
  const search = document.querySelector(".tt-figure-search");
  if (search) new Figures(search);
})();
