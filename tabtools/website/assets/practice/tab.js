// The tab as it stands on the page: where each moment lies, the cursor, what is looped, what the pointer means.

import { made } from "../page.js";
import { acrossAt, barAt } from "./score.js";

const DRAGGED = 8; // pixels from which a press is a drag
const HEIGHT = 10; // pixels over the line of music that sounds
const LINE = 20; // pixels that a line of music is lower than the one before, at least
const ASIDE = 14; // pixels by which the edge of a loop keeps away from a figure

export class Tab {
  /** `signal` says when this tab is done with. */
  constructor(root, score, signal) {
    this.root = root;
    this.score = score;
    this.bars = [...root.querySelectorAll(".tt-bar")];
    this.pieces = this.bars.flatMap((bar, number) => this.piecesOf(bar, number));
    this.cursor = made("div", "", "tt-cursor");
    this.spans = [];
    this.lit = null;
    this.known = new Map();
    this.shown = null;
    this.heard = () => {};
    const observer = new ResizeObserver(() => {
      this.known.clear();
      root.classList.toggle("tt-fits", root.scrollWidth <= root.clientWidth + 1);
      this.redraw?.();
    });
    observer.observe(root);
    const systems = new ResizeObserver((seen) => seen.forEach(({ target }) => this.markLeading(target.parentNode)));
    for (const first of root.querySelectorAll(".tt-bar:first-child")) systems.observe(first);
    signal.addEventListener("abort", () => {
      observer.disconnect();
      systems.disconnect();
    });
    this.signal = signal;
  }

  /** Marks the pieces of a system that begin a line of the page. One that is not drawn yet is not measured. */
  markLeading(system) {
    const pieces = [...system.querySelectorAll(".tt-piece")];
    const feet = pieces.map((piece) => piece.getBoundingClientRect().bottom);
    pieces.forEach((piece, at) => piece.classList.toggle("tt-leads", !at || feet[at] > feet[at - 1] + LINE));
  }

  /** What a bar is broken into: each piece with its bar, its time in milliseconds, its strokes and their onsets. */
  piecesOf(bar, number) {
    const { start, end } = this.score.bars[number];
    const onsets = [...this.score.bars[number].onsets];
    return [...bar.querySelectorAll(".tt-piece")].map((root, place, all) => {
      const at = (piece) => Math.round(start + (end - start) * Number(piece.dataset.since ?? 0));
      const strokes = [...root.querySelectorAll(".stroke")];
      const to = place + 1 < all.length ? at(all[place + 1]) : end;
      return { root, bar: number, from: at(root), to, strokes, onsets: onsets.splice(0, strokes.length) };
    });
  }

  /** The piece that a moment falls into. */
  pieceAt(ms) {
    return this.pieces.findLast(({ from }) => from <= ms + 1) ?? this.pieces[0];
  }

  pieceOf(element) {
    const root = element?.closest?.(".tt-piece");
    return this.pieces.find((piece) => piece.root === root);
  }

  strokes(bar) {
    return [...(this.bars[bar]?.querySelectorAll(".stroke") ?? [])];
  }

  /** Where the moments of a piece lie: `[milliseconds, pixels]` in order, as its strokes and counts are drawn. */
  moments(piece) {
    const known = this.known.get(piece);
    if (known) return known;
    const { start, end, firstCount, counts } = this.score.bars[piece.bar];
    const moments = new Map();
    for (const figure of piece.root.querySelectorAll(".count")) {
      const at = start + ((Number(figure.textContent) - firstCount) * (end - start)) / counts;
      moments.set(Math.round(at), figure.x.baseVal[0].value);
    }
    piece.onsets.forEach((at, place) => moments.set(at, piece.strokes[place].parentNode.x.baseVal.value));
    const { from, to } = piece;
    const { clientWidth } = piece.root;
    if (!moments.has(from)) moments.set(from, Math.max(6, Math.min(...moments.values(), clientWidth) / 2));
    const ordered = [...moments].sort((one, other) => one[0] - other[0]);
    ordered.push([to, clientWidth]);
    this.known.set(piece, ordered);
    return ordered;
  }

  /** Pixels from the left of its piece at which a moment lies; of the last stroke before it, if `steps`. */
  across(piece, ms, steps) {
    return acrossAt(this.moments(piece), ms, steps);
  }

  /** The last stroke at or before a moment, and its bar. */
  strokeAt(ms) {
    const bar = barAt(this.score, ms);
    return { bar, stroke: this.score.bars[bar].onsets.findLastIndex((onset) => onset <= ms) };
  }

  /** Draws the cursor at a moment; `steps` moves it from stroke to stroke only. */
  show(ms, steps, follows) {
    const { bar, stroke } = this.strokeAt(ms);
    const piece = this.pieceAt(ms);
    if (!piece) return;
    if (this.cursor.parentNode !== piece.root) piece.root.append(this.cursor);
    this.cursor.style.transform = `translateX(${this.across(piece, ms, steps).toFixed(1)}px)`;
    const drawn = this.strokes(bar)[stroke] ?? null;
    if (drawn !== this.lit) {
      this.lit?.classList.remove("tt-now");
      drawn?.classList.add("tt-now");
      this.lit = drawn;
      if (drawn) this.heard(drawn);
    }
    if (follows && piece !== this.shown) this.settle(piece, follows.loop, steps);
    this.shown = follows ? piece : null;
  }

  /** From where to where of the window the tab is seen, in pixels: what the row of buttons and an open panel leave. */
  sight() {
    const isFixed = (element) => element && !element.hidden && getComputedStyle(element).position === "fixed";
    const [buttons, panel] = [".tt-transport", ".tt-known"].map((name) => document.querySelector(name));
    if (!isFixed(buttons)) return { high: buttons.offsetHeight, low: innerHeight };
    return { high: 0, low: (isFixed(panel) ? panel : buttons).getBoundingClientRect().top };
  }

  /** Scrolls to a piece that is not in sight. */
  reveal(piece, atOnce) {
    const { top, bottom } = piece.root.getBoundingClientRect();
    const { high, low } = this.sight();
    if (top < high || bottom > low) this.settle(piece, null, atOnce);
    else this.bringAcross(piece);
  }

  /** Brings the line of music with a piece to its height, close under the upper edge, so that the next ones are seen
   * as well. Of a loop that can be seen as a whole, its first line stays there. */
  settle(piece, loop, atOnce) {
    const { high, low } = this.sight();
    const box = ({ root }) => root.getBoundingClientRect();
    let first = piece;
    if (loop) {
      const looped = this.piecesIn(loop);
      const [from, to] = [looped[0], looped[looped.length - 1]];
      if (looped.includes(piece) && box(to).bottom - box(from).top <= low - high - HEIGHT) first = from;
    }
    const by = box(first).top - high - HEIGHT;
    if (Math.abs(by) > 1) scrollTo({ top: scrollY + by, behavior: atOnce ? "auto" : "smooth" });
    this.bringAcross(piece);
  }

  /** Scrolls a tab that is wider than the page to a piece. */
  bringAcross({ root }) {
    const { left, right } = root.getBoundingClientRect();
    const within = this.root.getBoundingClientRect();
    if (left < within.left - 2) this.root.scrollLeft += left - within.left;
    else if (right > within.right + 2) this.root.scrollLeft += Math.min(right - within.right, left - within.left);
  }

  /** The pieces that a stretch touches. */
  piecesIn({ from, to }) {
    return this.pieces.filter((one) => one.to > from + 1 && one.from < to - 1);
  }

  /** Marks the stretch that is looped; nothing if none is given. */
  mark(stretch) {
    for (const span of this.spans) span.remove();
    this.spans = [];
    if (!stretch) return;
    const { from, to } = stretch;
    for (const piece of this.piecesIn(stretch)) {
      const span = made("div", "", "tt-span");
      const room = piece.root.clientWidth;
      const left = from > piece.from + 1 ? this.across(piece, from) - ASIDE : 0;
      const right = to < piece.to - 1 ? this.across(piece, to) - ASIDE : room;
      span.style.cssText = `left:${(left / room) * 100}%;right:${(1 - right / room) * 100}%`;
      span.classList.toggle("tt-begins", from >= piece.from - 1);
      span.classList.toggle("tt-ends", to <= piece.to + 1);
      piece.root.prepend(span);
      this.spans.push(span);
    }
  }

  /** The moment of the stroke nearest to a point of a piece, or its beginning where it has none. */
  pointed(piece, clientX) {
    const { left, width } = piece.root.getBoundingClientRect();
    const x = ((clientX - left) * piece.root.clientWidth) / width; // the tab may be shown smaller or larger
    const away = (ms) => Math.abs(this.across(piece, ms) - x);
    return [piece.from, ...piece.onsets].reduce((best, ms) => (away(ms) < away(best) ? ms : best));
  }

  barOf(element) {
    return this.bars.indexOf(element?.closest?.(".tt-bar"));
  }

  /** What is said of the stroke at a moment. */
  reading(ms) {
    const { bar, stroke } = this.strokeAt(ms);
    const isThere = this.score.bars[bar].onsets[stroke] === ms;
    const titles = isThere ? (this.strokes(bar)[stroke]?.querySelectorAll("title") ?? []) : [];
    return [...titles].map((title) => title.textContent).join("; ");
  }

  /** Listens to presses and drags: `click(ms)`, `drag(first bar, last bar, whether it is done)`, `drop()`. */
  listen({ click, drag, drop }) {
    const { signal } = this;
    let pressed = null;
    const forget = () => {
      if (pressed?.isDrag) drop();
      pressed = null;
    };
    this.root.addEventListener("pointerdown", (event) => {
      const bar = this.barOf(event.target);
      if (event.button !== 0 || !event.isPrimary || bar < 0 || event.target.closest("a, button")) return;
      pressed = { bar, piece: this.pieceOf(event.target), to: bar, x: event.clientX, y: event.clientY, isDrag: false };
    });
    document.addEventListener("pointermove", (event) => {
      if (!pressed || !event.isPrimary) return;
      pressed.isDrag ||= Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) > DRAGGED;
      if (!pressed.isDrag) return;
      const over = this.barOf(document.elementFromPoint(event.clientX, event.clientY));
      if (over >= 0) pressed.to = over;
      drag(Math.min(pressed.bar, pressed.to), Math.max(pressed.bar, pressed.to), false);
    }, { signal });
    document.addEventListener("pointerup", (event) => {
      if (!pressed || !event.isPrimary) return;
      const { bar, piece, to, isDrag } = pressed;
      pressed = null;
      if (isDrag) drag(Math.min(bar, to), Math.max(bar, to), true);
      else if (piece) click(this.pointed(piece, event.clientX));
    }, { signal });
    this.root.addEventListener("click", (event) => {
      if (event.detail > 0) return; // a press of a pointer, or what stands for one
      const piece = this.pieceOf(event.target);
      const onset = piece?.onsets[piece.strokes.indexOf(event.target.closest(".stroke"))];
      if (onset !== undefined) click(onset);
    });
    document.addEventListener("pointercancel", forget, { signal });
    const givesUp = (event) => {
      if (event.key !== "Escape" || !pressed?.isDrag) return;
      event.stopPropagation();
      forget();
    };
    document.addEventListener("keydown", givesUp, { capture: true, signal });
  }
}
