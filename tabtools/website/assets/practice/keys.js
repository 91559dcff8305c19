// What the keys do while the focus is on the tab or the controls.

const SAME = { "−": "-", "=": "+", Spacebar: " " };

const keysOf = (practice, shift) => ({
  " ": () => practice.act("play"),
  Escape: () => practice.act("stop"),
  ArrowLeft: () => practice.step(-1, shift),
  ArrowRight: () => practice.step(1, shift),
  Home: () => practice.goTo(practice.onsets()[0] ?? 0),
  End: () => practice.goTo(practice.onsets().at(-1) ?? 0),
  "[": () => practice.loopFrom(),
  "]": () => practice.loopTo(),
  l: () => practice.act("loop"),
  m: () => practice.field("metronome").click(),
  c: () => practice.nextCounting(),
  "-": () => practice.turn(-1),
  "+": () => practice.turn(1),
});

/** Does what a key means, unless the field that has the focus needs it itself. */
export const doesKey = (practice, event) => {
  const { key, target } = event;
  if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
  const isTyped = target.matches("select, input:not([type=range], [type=checkbox], [type=file])");
  const isPressed = target.matches("button, summary, input") && target.type !== "range";
  if (isTyped && key !== "Escape") return;
  if (isPressed && key === " ") return;
  if (target.type === "range" && /^(Arrow|Home|End)/.test(key)) return;
  const does = keysOf(practice, event.shiftKey)[SAME[key] ?? (key.length === 1 ? key.toLowerCase() : key)];
  if (!does) return;
  event.preventDefault();
  event.stopPropagation();
  does();
};
