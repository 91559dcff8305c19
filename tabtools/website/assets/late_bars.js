/* Stands in a tab before its bars. While a page comes, the theme's script has the browser style all of it several times;
   the bars below the first ones wait until that is done, and then come one system a frame. */
(tab => {
  "use strict";
  if (document.readyState !== "loading" || location.hash) return;
  const LONGEST = 1500; // milliseconds that a script may keep them waiting
  const systems = tab.getElementsByClassName("tt-bars");
  let next = 0;
  let hasBegun = false;
  const show = () => {
    while (systems[next]?.classList.contains("tt-there")) next += 1;
    systems[next]?.classList.add("tt-there");
    if (next < systems.length) requestAnimationFrame(show);
  };
  const begin = () => {
    if (!hasBegun) requestAnimationFrame(show);
    hasBegun = true;
  };
  tab.classList.add("tt-later");
  document.addEventListener("DOMContentLoaded", begin);
  setTimeout(begin, LONGEST);
})(document.currentScript.parentNode);
