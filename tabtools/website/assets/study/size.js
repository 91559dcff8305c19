// How large the tab is drawn, in three steps, as the reader chose it.

import { keepChoice, keptChoice } from "./kept_choice.js";

const KEPT = "tabtools-size";
const CLASSES = { small: "tt-small", large: "tt-large" };

/** Lets a choice change the size of a tab. */
export const offerSizes = (choice, tab) => {
  const size = () => {
    for (const [value, name] of Object.entries(CLASSES)) tab.classList.toggle(name, choice.value === value);
  };
  const before = keptChoice(KEPT);
  if (before && before in CLASSES) choice.value = before;
  size();
  choice.addEventListener("change", () => {
    size();
    keepChoice(KEPT, choice.value);
  });
};
