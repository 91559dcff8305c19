// What can be scrolled further down says so.

const LEAST = 4; // pixels that are worth a sign

/** Marks an element for as long as more of it lies below than is seen. */
export const showsWhetherItGoesOn = (element) => {
  const look = () => {
    const hidden = element.scrollHeight - element.clientHeight - element.scrollTop;
    element.classList.toggle("tt-goes-on", element.clientHeight > 0 && hidden > LEAST);
  };
  element.addEventListener("scroll", look, { passive: true });
  element.addEventListener("toggle", look, true);
  const observer = new ResizeObserver(look);
  for (const one of [element, ...element.children]) observer.observe(one);
};
