// What the scripts of all pages need of their page.

/** Begins when the page is there, and again when the theme has put another one in its place. */
export const whenReady = (begin) => {
  if (globalThis.document$) globalThis.document$.subscribe(begin);
  else if (document.readyState === "loading") addEventListener("DOMContentLoaded", begin);
  else begin();
};

/** A new element with a text and a class, where they are given. */
export const made = (tag, text = "", name = "") => {
  const element = document.createElement(tag);
  if (text) element.textContent = text;
  if (name) element.className = name;
  return element;
};

/** `1 solo`, `2 solos`. */
export const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

/** The id that an address leads to, from its `#` on; empty where it is written wrongly. */
export const anchorOf = (hash) => {
  try {
    return decodeURIComponent(hash.slice(1));
  } catch {
    return "";
  }
};
