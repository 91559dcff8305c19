// From a passage that is looped back to the sentence that named it.

import { made } from "../page.js";

/** Offers the way back from the tab to whatever named a passage and is out of sight by now; `signal` ends it. */
export const offerWayBack = (signal) => {
  const back = made("button", "Back to the sentence", "tt-return");
  back.type = "button";
  back.hidden = true;
  let from = null;
  const seen = new IntersectionObserver((entries) => {
    if (entries.some(({ isIntersecting }) => isIntersecting)) back.hidden = true;
    else back.hidden = !from;
  });
  const forget = () => {
    seen.disconnect();
    from = null;
    back.hidden = true;
  };
  back.addEventListener("click", () => {
    const link = from;
    forget();
    link.scrollIntoView({ block: "center" });
    link.focus({ preventScroll: true });
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a.tt-loop");
    if (!link) return;
    forget();
    from = link;
    seen.observe(link);
  }, { signal });
  signal.addEventListener("abort", () => {
    forget();
    back.remove();
  });
  document.querySelector(".tt-transport")?.append(back);
};
