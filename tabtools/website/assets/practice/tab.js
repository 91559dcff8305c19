// The tab as it stands on the page: where each moment lies, the cursor, what is looped, what the pointer means.

const DRAGGED = 8; // pixels from which a press is a drag
const ASIDE = 14; // pixels by which the edge of a loop keeps away from a figure

const made = (tag, name) => Object.assign(document.createElement(tag), { className: name });

class Tab {
  constructor(root, score) {
    this.root = root;
    this.score = score;
    this.bars = [...root.querySelectorAll(".tt-bar")];
    this.cursor = made("div", "tt-cursor");
    this.spans = [];
    this.lit = null;
    this.known = new Map();
    this.shown = -1;
    new ResizeObserver(() => {
      this.known.clear();
      root.classList.toggle("tt-fits", root.scrollWidth <= root.clientWidth + 1);
      this.redraw?.();
    }).observe(root);
  }

  bounds(bar) {
    return [this.score.bars[bar][1], this.score.bars[bar + 1]?.[1] ?? this.score.end];
  }

  strokes(bar) {
    return [...(this.bars[bar]?.querySelectorAll(".stroke") ?? [])];
  }

  /** Where the moments of a bar lie: `[milliseconds, pixels]` in order, as its strokes and counts are drawn. */
  moments(bar) {
    const known = this.known.get(bar);
    if (known) return known;
    const [start, end] = this.bounds(bar);
    const [, , first, counts, , onsets] = this.score.bars[bar];
    const drawn = this.strokes(bar);
    const moments = new Map();
    for (const figure of this.bars[bar].querySelectorAll(".count")) {
      const at = start + ((Number(figure.textContent) - first) * (end - start)) / counts;
      moments.set(Math.round(at), figure.x.baseVal[0].value);
    }
    onsets.forEach((at, place) => drawn[place] && moments.set(at, drawn[place].parentNode.x.baseVal.value));
    const { clientWidth } = this.bars[bar];
    if (!moments.has(start)) moments.set(start, Math.max(6, Math.min(...moments.values(), clientWidth) / 2));
    const ordered = [...moments].sort((one, other) => one[0] - other[0]);
    ordered.push([end, clientWidth]);
    this.known.set(bar, ordered);
    return ordered;
  }

  /** Pixels from the left of its bar at which a moment lies; of the last stroke before it, if `steps`. */
  across(bar, ms, steps) {
    const moments = this.moments(bar);
    let place = 0;
    while (place + 2 < moments.length && moments[place + 1][0] <= ms) place += 1;
    const [[since, left], [until, right]] = [moments[place], moments[place + 1]];
    return steps || until <= since ? left : left + (right - left) * Math.min(1, (ms - since) / (until - since));
  }

  /** The last stroke at or before a moment, and its bar. */
  strokeAt(ms) {
    const bar = barAt(this.score, ms);
    return { bar, stroke: this.score.bars[bar][5].findLastIndex((onset) => onset <= ms) };
  }

  /** Draws the cursor at a moment; `steps` moves it from stroke to stroke only. */
  show(ms, steps, follows) {
    const { bar, stroke } = this.strokeAt(ms);
    const here = this.bars[bar];
    if (!here) return;
    if (this.cursor.parentNode !== here) here.append(this.cursor);
    this.cursor.style.transform = `translateX(${this.across(bar, ms, steps).toFixed(1)}px)`;
    const drawn = this.strokes(bar)[stroke] ?? null;
    if (drawn !== this.lit) {
      this.lit?.classList.remove("tt-now");
      drawn?.classList.add("tt-now");
      this.lit = drawn;
    }
    if (follows && bar !== this.shown) this.reveal(here, steps);
    this.shown = follows ? bar : -1;
  }

  /** Scrolls to a bar that is not in sight. */
  reveal(bar, atOnce) {
    const { top, bottom, left, right } = bar.getBoundingClientRect();
    const within = this.root.getBoundingClientRect();
    const covered = document.querySelector(".tt-transport").getBoundingClientRect();
    const highest = covered.top < 100 ? covered.bottom : 0;
    if (top >= highest && bottom <= innerHeight && left >= within.left - 2 && right <= within.right + 2) return;
    bar.scrollIntoView({ block: "center", inline: "nearest", behavior: atOnce ? "auto" : "smooth" });
  }

  /** Marks what is looped from one moment to another; nothing if they are not given. */
  mark(from, to) {
    for (const span of this.spans) span.remove();
    this.spans = [];
    if (from === undefined) return;
    for (let bar = barAt(this.score, from); bar < this.bars.length && this.bounds(bar)[0] < to; bar += 1) {
      const [start, end] = this.bounds(bar);
      const span = made("div", "tt-span");
      const room = this.bars[bar].clientWidth;
      const left = from > start ? this.across(bar, from) - ASIDE : 0;
      const right = to < end ? this.across(bar, to) - ASIDE : room;
      span.style.cssText = `left:${(left / room) * 100}%;right:${(1 - right / room) * 100}%`;
      span.classList.toggle("tt-begins", from >= start);
      span.classList.toggle("tt-ends", to <= end);
      this.bars[bar].prepend(span);
      this.spans.push(span);
    }
  }

  /** The moment of the stroke nearest to a point of a bar, or its beginning where it has none. */
  pointed(bar, clientX) {
    const left = this.bars[bar].getBoundingClientRect().left;
    const [start] = this.bounds(bar);
    const away = (ms) => Math.abs(this.across(bar, ms) - (clientX - left));
    return [start, ...this.score.bars[bar][5]].reduce((best, ms) => (away(ms) < away(best) ? ms : best));
  }

  barOf(element) {
    return this.bars.indexOf(element?.closest?.(".tt-bar"));
  }

  /** What is said of the stroke at a moment. */
  reading(ms) {
    const { bar, stroke } = this.strokeAt(ms);
    const isThere = this.score.bars[bar][5][stroke] === ms;
    const titles = isThere ? (this.strokes(bar)[stroke]?.querySelectorAll("title") ?? []) : [];
    return [...titles].map((title) => title.textContent).join("; ");
  }

  /** Listens to presses and drags: `click(ms)`, `drag(first bar, last bar, whether it is done)`, `drop()`. */
  listen({ click, drag, drop }) {
    let pressed = null;
    const forget = () => {
      if (pressed?.isDrag) drop();
      pressed = null;
    };
    this.root.addEventListener("pointerdown", (event) => {
      const bar = this.barOf(event.target);
      if (event.button !== 0 || !event.isPrimary || bar < 0 || event.target.closest("a, button")) return;
      pressed = { bar, to: bar, x: event.clientX, y: event.clientY, isDrag: false };
    });
    document.addEventListener("pointermove", (event) => {
      if (!pressed || !event.isPrimary) return;
      pressed.isDrag ||= Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) > DRAGGED;
      if (!pressed.isDrag) return;
      const over = this.barOf(document.elementFromPoint(event.clientX, event.clientY));
      if (over >= 0) pressed.to = over;
      drag(Math.min(pressed.bar, pressed.to), Math.max(pressed.bar, pressed.to), false);
    });
    document.addEventListener("pointerup", (event) => {
      if (!pressed || !event.isPrimary) return;
      const { bar, to, isDrag } = pressed;
      pressed = null;
      if (isDrag) drag(Math.min(bar, to), Math.max(bar, to), true);
      else click(this.pointed(bar, event.clientX));
    });
    document.addEventListener("pointercancel", forget);
    const givesUp = (event) => {
      if (event.key !== "Escape" || !pressed?.isDrag) return;
      event.stopPropagation();
      forget();
    };
    document.addEventListener("keydown", givesUp, true);
  }
}
