// The page of a solo: its notes are studied, its tab is practised, its bars are corrected.

import { CorrectionForm } from "./correction_form/form.js";
import { made, whenReady } from "./page.js";
import { Practice } from "./practice/controls.js";
import { render } from "./practice/sound.js";
import { readNotes } from "./records.js";
import { ChosenNote } from "./study/chosen_note.js";
import { showsWhetherItGoesOn } from "./study/goes_on.js";
import { offerLabels } from "./study/labels.js";
import { FollowingLesson } from "./study/lesson.js";
import { offerMirror } from "./study/mirror.js";
import { offerPrinting } from "./study/print_passage.js";
import { offerSizes } from "./study/size.js";
import { offerStaff } from "./study/staff.js";
import { offerWayBack } from "./study/way_back.js";

let practice = null;
let current = null;
let lesson = null;
let life = new AbortController();

const study = (tab) => {
  const names = [".tt-records", '[name="under"]', '[name="staff"]', '[name="size"]', '[name="mirrored"]'];
  const [data, choice, staff, size, mirrored] = names.map((name) => document.querySelector(name));
  if (!data) return;
  const records = readNotes(JSON.parse(data.textContent));
  const chosen = new ChosenNote(tab, records, (end, note) => practice?.loopAt(end, note));
  offerLabels(choice, tab, records);
  offerStaff(staff, tab);
  offerSizes(size, tab);
  if (mirrored) offerMirror(mirrored);
  offerPrinting(tab);
  const side = document.querySelector(".tt-side");
  for (const one of document.querySelectorAll(".tt-side, .tt-sheet")) showsWhetherItGoesOn(one);
  offerWayBack(life.signal);
  lesson = side && { told: new FollowingLesson(side), numbers: chosen.numbers };
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
  const isKept = practice !== null && practice.section === section;
  if (practice && !isKept) practice.player.halt(0);
  practice = section && new Practice(section, tab, life.signal, isKept ? practice.player : null);
  if (!practice || !lesson) return;
  const { told, numbers } = lesson;
  const behavior = matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth";
  practice.tab.heard = (stroke) => told.follow(numbers.get(stroke.querySelector(".note")), behavior);
};

const correct = (tab) => {
  const section = document.querySelector(".tt-suggest");
  if (section) new CorrectionForm(section, tab, () => practice);
};

/** Begins with the tab that stands on the page, once; the player goes on where its controls have stayed. */
const begin = () => {
  const tab = document.querySelector(".tt-tab");
  if (!tab || tab === current) return;
  life.abort();
  lesson = null;
  life = new AbortController();
  current = tab;
  study(tab);
  practise(tab);
  correct(tab);
};

/** The one name that is left behind, for whoever looks into the page. */
globalThis.tabtools = {
  render,
  begin,
  get practice() {
    return practice;
  },
};

whenReady(begin);
