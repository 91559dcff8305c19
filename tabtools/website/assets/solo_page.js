// The page of a solo: its notes are studied, its tab is practised, its bars are corrected.

import { CorrectionForm } from "./correction_form/form.js";
import { made, whenReady } from "./page.js";
import { Practice } from "./practice/controls.js";
import { render } from "./practice/sound.js";
import { readNotes } from "./records.js";
import { ChosenNote } from "./study/chosen_note.js";
import { offerLabels } from "./study/labels.js";

let practice = null;

const study = (tab) => {
  const [data, choice] = [".tt-records", '[name="under"]'].map((name) => document.querySelector(name));
  if (!data || !choice.closest("label").hidden) return;
  const records = readNotes(JSON.parse(data.textContent));
  new ChosenNote(tab, records);
  offerLabels(choice, tab, records);
  const words = document.querySelector(".tt-in-words");
  words.addEventListener("toggle", () => {
    const list = words.querySelector("ol");
    if (list.children.length) return;
    for (const bar of tab.querySelectorAll(".tt-bar")) {
      list.append(made("li", `${bar.getAttribute("aria-label")}. ${bar.querySelector(".tt-reading").textContent}`));
    }
  });
};

const practise = (tab) => {
  const section = document.querySelector(".tt-practice");
  if (!section?.hidden) return;
  practice?.player.halt(0);
  practice = new Practice(section, tab);
};

const correct = (tab) => {
  const section = document.querySelector(".tt-suggest");
  if (section?.hidden) new CorrectionForm(section, tab, () => practice);
};

/** The one name that is left behind, for whoever looks into the page. */
globalThis.tabtools = {
  render,
  get practice() {
    return practice;
  },
};

whenReady(() => {
  const tab = document.querySelector(".tt-tab");
  if (!tab) return;
  study(tab);
  practise(tab);
  correct(tab);
});
