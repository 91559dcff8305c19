// What is asked for of the index, as its address has it behind its `#`: `key=A minor&sort=-tempo&page=2`.

/** The fields and their values that an address asks for, none where it leads to a place of the page. */
export const askedOf = (hash) => {
  const text = hash.replace(/^#/, "");
  return text.includes("=") ? new Map(new URLSearchParams(text)) : new Map();
};

/** The address of what is asked for; empty fields are left out. */
export const addressOf = (asked) => {
  const given = new URLSearchParams([...asked].filter(([, value]) => value !== ""));
  return given.size ? `#${given}` : "";
};
