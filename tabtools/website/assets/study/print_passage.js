// One passage printed by itself, as large as the sheet is wide.

import { made } from "../page.js";

const BARS = /^#b(\d+)[\d.]*(?:-b(\d+)[\d.]*)?$/;
const ALONE = "tt-alone";
const LEFT_OUT = "tt-left-out";

/** The first and the last bar that a link to a passage names: `#b5-b8`, `#b5.2-b8.1`. */
export const barsOf = (hash) => {
  const [, first, last] = BARS.exec(hash) ?? [];
  return first === undefined ? null : [first, last ?? first];
};

const printAlone = (tab, name, first, last) => {
  const bars = [...tab.querySelectorAll(".tt-bar")];
  const [from, to] = [first, last].map((number) => bars.findIndex((bar) => bar.id === `b${number}`));
  const whole = () => {
    tab.classList.remove(ALONE);
    for (const bar of bars) bar.classList.remove(LEFT_OUT);
  };
  tab.classList.add(ALONE);
  tab.dataset.passage = name;
  bars.forEach((bar, place) => bar.classList.toggle(LEFT_OUT, place < from || place > to));
  addEventListener("afterprint", whole, { once: true });
  globalThis.print();
};

/** Puts a button behind the name of each passage that prints its bars alone. */
export const offerPrinting = (tab) => {
  for (const link of document.querySelectorAll(".tt-neck-maps .tt-loop")) {
    const bars = barsOf(link.hash);
    if (!bars || link.parentElement.querySelector(".tt-print")) continue;
    const button = made("button", "Print it", "tt-print");
    const name = link.parentElement.textContent.replace(/\s*Loop it.*$/s, "");
    button.type = "button";
    button.setAttribute("aria-label", link.getAttribute("aria-label").replace("Loop", "Print"));
    button.addEventListener("click", () => printAlone(tab, name, ...bars));
    link.after(" ", button);
  }
};
