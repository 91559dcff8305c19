// What stands under the notes: one kind of label, as the reader chose it.

import { keepChoice, keptChoice } from "./kept_choice.js";

const ROW = 15;
const BELOW_COUNTS = 18;
const KEPT = "tabtools-under";
const WRITTEN = "chord"; // what stands there when the page comes
const NONE = "fret";

/** Lets the choice of labels change those of a tab; `records` are those of its notes, in their order. */
export const offerLabels = (choice, tab, records) => {
  const numbers = new Map([...tab.querySelectorAll(".note")].map((note, number) => [note, number]));
  const label = () => writeLabels(tab, choice.value, (note) => records[numbers.get(note)]);
  choice.addEventListener("change", () => {
    label();
    keepChoice(KEPT, choice.value);
  });
  const before = keptChoice(KEPT);
  if (before && before !== WRITTEN && [...choice.options].some((option) => option.value === before)) {
    choice.value = before;
    label();
  }
};

/** Writes the labels of one kind under the notes. */
const writeLabels = (tab, kind, recordOf) => {
  tab.classList.toggle("tt-frets-alone", kind === NONE);
  if (kind === NONE) return;
  for (const stroke of tab.querySelectorAll(".stroke")) {
    const base = footOf(stroke);
    for (const old of stroke.querySelectorAll(".degree")) old.remove();
    for (const note of stroke.querySelectorAll(".note")) {
      const text = recordOf(note)[kind];
      if (!text) continue;
      const label = document.createElementNS(stroke.namespaceURI, "text");
      label.setAttribute("class", "degree");
      label.setAttribute("aria-hidden", "true");
      label.setAttribute("y", base + ROW * Number(note.dataset.row ?? 0));
      label.textContent = text;
      stroke.append(label);
    }
  }
};

/** Where the first label of a stroke stands: as in the rest of its bar. */
const footOf = (stroke) => {
  const bar = stroke.closest(".tt-bar");
  if (!bar.dataset.foot) {
    const all = [...bar.closest(".tt-bars").querySelectorAll(".tt-bar")];
    for (const one of all) {
      const count = one.querySelector(".count");
      const degrees = [...one.querySelectorAll(".degree")].map((label) => Number(label.getAttribute("y")));
      if (degrees.length) one.dataset.foot = Math.min(...degrees);
      else if (count) one.dataset.foot = Number(count.getAttribute("y")) + BELOW_COUNTS;
    }
    const known = all.map((one) => one.dataset.foot).find(Boolean) ?? 0;
    for (const one of all) one.dataset.foot ||= known;
  }
  return Number(bar.dataset.foot);
};
