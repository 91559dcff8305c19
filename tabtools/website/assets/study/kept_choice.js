// What a reader chose, kept in the browser under a name.

/** The choice kept under a name, null where there is none. */
export const keptChoice = (name) => {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
};

/** Keeps a choice under a name. */
export const keepChoice = (name, value) => {
  try {
    localStorage.setItem(name, value);
  } catch {
    // Without storage the choice holds for this page.
  }
};
