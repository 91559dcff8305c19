// The parts of a solo's page replaced by new ones, around the controls, which stay as they are.

/** What a theme puts the page itself into. */
export const articleOf = (page) => page.querySelector(".tt-tab")?.closest("article, main") ?? page.querySelector("article");

/** What there is to be read in each bar of a tab, by its id. */
const readings = (article) =>
  new Map(
    [...article.querySelectorAll(".tt-bar[id]")].map((bar) => [
      bar.id,
      [...bar.querySelectorAll(".tt-reading, .tt-chords, .fret, .note > title")].map((one) => one.textContent).join("\n"),
    ]),
  );

/** The bar that is read now: the first that begins below the upper edge, and how far below. */
const readNow = (article) => {
  for (const bar of article.querySelectorAll(".tt-bar[id]")) {
    const { top } = bar.getBoundingClientRect();
    if (top >= 0) return { id: bar.id, top };
  }
  return null;
};

const summaryOf = (details) => details.querySelector("summary")?.textContent;

/** Puts the new parts of a page in the place of the old ones, and `begin`s with them. What is scrolled, unfolded and
 * focused stays so. Returns the ids of the bars that changed. */
export const swap = (now, next, begin) => {
  const [before, after] = [now, next].map(readings);
  const read = readNow(now);
  const unfolded = new Set([...now.querySelectorAll("details")].filter((one) => one.open).map(summaryOf));
  const focused = document.activeElement;
  const [tab, controls] = [".tt-tab", ".tt-practice"].map((part) => now.querySelector(part));
  const { scrollLeft, scrollTop } = tab;
  const within = tab.contains(focused) ? (focused.closest("[id]")?.id ?? "") : null;
  const stays = controls && renewed(controls, next.querySelector(".tt-practice"));
  put(now, next, stays ? controls : null);
  begin();
  for (const details of now.querySelectorAll("details")) {
    if (unfolded.has(summaryOf(details))) details.open = true;
  }
  const tabNow = now.querySelector(".tt-tab");
  Object.assign(tabNow, { scrollLeft, scrollTop });
  const bar = read && document.getElementById(read.id);
  if (bar) scrollBy({ top: bar.getBoundingClientRect().top - read.top, behavior: "instant" });
  if (within !== null) (noteOf(within) ?? tabNow).focus({ preventScroll: true });
  return [...after].filter(([id, text]) => before.get(id) !== text).map(([id]) => id);
};

const noteOf = (id) => (id ? document.getElementById(id)?.querySelector(".note") : null);

/** Gives the controls that stay what depends on the score. Returns whether they stay. */
const renewed = (controls, next) => {
  if (!next) return false;
  controls.querySelector(".tt-score").textContent = next.querySelector(".tt-score").textContent;
  controls.querySelector('[name="stretch"]').replaceChildren(...next.querySelector('[name="stretch"]').childNodes);
  for (const name of ["from", "to"]) {
    const [one, other] = [controls, next].map((section) => section.querySelector(`[name="${name}"]`));
    Object.assign(one, { min: other.min, max: other.max });
  }
  return true;
};

/** All parts of an article, around one that stays. */
const put = (now, next, stays) => {
  const parts = [...next.childNodes];
  for (const part of [...now.childNodes]) if (part !== stays) part.remove();
  const place = parts.findIndex((part) => part.matches?.(".tt-practice"));
  if (!stays) now.append(...parts);
  else {
    stays.before(...parts.slice(0, place));
    stays.after(...parts.slice(place + 1));
  }
};
