// The standard staff over the tab, shown or not as the reader chose.

import { keepChoice, keptChoice } from "./kept_choice.js";

const KEPT = "tabtools-staff";
const SHOWN = "tt-staves";

/** Lets a box show and hide the staff of a tab; before anybody has chosen, it is as the page has it. */
export const offerStaff = (box, tab) => {
  const before = keptChoice(KEPT);
  if (before) tab.classList.toggle(SHOWN, before === "shown");
  box.checked = tab.classList.contains(SHOWN);
  box.addEventListener("change", () => {
    tab.classList.toggle(SHOWN, box.checked);
    keepChoice(KEPT, box.checked ? "shown" : "hidden");
  });
};
