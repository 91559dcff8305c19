// How bars are called, one by one.

/** `bar 5`, `bars 5, 6 and 9`; the pickup has no number. */
export const barsNamed = (ids) => {
  const numbers = ids.map((id) => (id === "b0" ? "the pickup" : id.slice(1)));
  if (numbers.length < 2) return ids[0] === "b0" ? "the pickup" : `bar ${numbers[0]}`;
  return `bars ${numbers.slice(0, -1).join(", ")} and ${numbers.at(-1)}`;
};
