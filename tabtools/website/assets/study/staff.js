// The standard staff over the tab, shown or not as the reader chose.

const KEPT = "tabtools-staff";
const SHOWN = "tt-staves";

const remembered = () => {
  try {
    return localStorage.getItem(KEPT);
  } catch {
    return null;
  }
};

const remember = (value) => {
  try {
    localStorage.setItem(KEPT, value);
  } catch {
    // Without storage the choice holds for this page.
  }
};

/** Lets a box show and hide the staff of a tab; before anybody has chosen, it is as the page has it. */
export const offerStaff = (box, tab) => {
  const before = remembered();
  if (before) tab.classList.toggle(SHOWN, before === "shown");
  box.checked = tab.classList.contains(SHOWN);
  box.closest("label").hidden = false;
  box.addEventListener("change", () => {
    tab.classList.toggle(SHOWN, box.checked);
    remember(box.checked ? "shown" : "hidden");
  });
};
