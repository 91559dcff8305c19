// The lesson beside the tab goes with the music, until its reader takes it over.

import { made } from "../page.js";
import { readRuns } from "../records.js";

const EDGE = 12; // pixels over the part that is told
const MOVES = /^(Arrow(Up|Down)|Page(Up|Down)|Home|End| )$/;

/** Of parts with the first and last note each speaks of, the one that speaks most closely of a note; none if none does. */
export const partTold = (parts, number) =>
  parts
    .filter(({ from, to }) => from <= number && number <= to)
    .reduce((best, one) => (!best || one.to - one.from < best.to - best.from ? one : best), null);

export class FollowingLesson {
  constructor(side) {
    this.side = side;
    this.parts = [...side.querySelectorAll(".tt-claim[data-notes]")].map((claim) => {
      const notes = readRuns(claim.dataset.notes);
      return { element: claim.closest("p, li, dd, td") ?? claim, from: notes[0], to: notes[notes.length - 1] };
    });
    this.told = null;
    this.isTaken = false;
    this.back = made("button", "Follow the music again");
    this.back.type = "button";
    this.back.hidden = true;
    this.back.addEventListener("click", () => this.take(false));
    side.append(this.back);
    new ResizeObserver(() => this.isTaken || this.show("auto")).observe(side);
    for (const event of ["wheel", "touchmove"]) side.addEventListener(event, () => this.take(true), { passive: true });
    side.addEventListener("keydown", ({ key }) => MOVES.test(key) && this.take(true));
    side.addEventListener("pointerdown", ({ target }) => target === side && this.take(true)); // its scroll bar
  }

  get scrolls() {
    return this.side.scrollHeight > this.side.clientHeight + 1;
  }

  take(isTaken) {
    this.isTaken = isTaken && this.scrolls;
    this.back.hidden = !this.isTaken;
    if (!this.isTaken) this.show("auto");
  }

  /** Goes to what is told of a note, by its number. */
  follow(number, behavior) {
    const part = partTold(this.parts, number);
    if (!part || part.element === this.told) return;
    this.told?.classList.remove("tt-told");
    this.told = part.element;
    this.told.classList.add("tt-told");
    if (!this.isTaken) this.show(behavior);
  }

  show(behavior) {
    if (!this.told || !this.scrolls) return;
    const { side } = this;
    const by = this.told.getBoundingClientRect().top - side.getBoundingClientRect().top - EDGE;
    side.scrollTo({ top: side.scrollTop + by, behavior });
  }
}
