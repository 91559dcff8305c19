// The neck maps as a left-handed player sees the neck.

import { keepChoice, keptChoice } from "./kept_choice.js";

const KEPT = "tabtools-neck";
const MIRRORED = "mirrored";

/** Lets a box mirror the maps of its section. */
export const offerMirror = (box) => {
  const mirror = () => box.closest(".tt-necks").classList.toggle("tt-mirrored", box.checked);
  box.checked = keptChoice(KEPT) === MIRRORED;
  mirror();
  box.addEventListener("change", () => {
    mirror();
    keepChoice(KEPT, box.checked ? MIRRORED : "");
  });
};
