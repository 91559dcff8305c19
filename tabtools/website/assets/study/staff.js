// The standard staff over the tab, shown or not as the reader chose.

import { keepChoice, keptChoice } from "./kept_choice.js";

const KEPT = "tabtools-staff";
const SHOWN = "tt-staves";

/** Draws the staves, which are text before somebody wants to see them. */
const drawn = (tab) => {
  for (const text of tab.querySelectorAll(".tt-piece > script")) text.outerHTML = text.textContent;
};

/** Lets a box show and hide the staff of a tab; before anybody has chosen, it is as the page has it. */
export const offerStaff = (box, tab) => {
  const show = (isShown) => {
    if (isShown) drawn(tab);
    tab.classList.toggle(SHOWN, isShown);
  };
  const before = keptChoice(KEPT);
  if (before) show(before === "shown");
  box.checked = tab.classList.contains(SHOWN);
  box.addEventListener("change", () => {
    show(box.checked);
    keepChoice(KEPT, box.checked ? "shown" : "hidden");
  });
};
