/* While a page comes, the theme's script tells the browser several times what it knows: that there are scripts, and which
   colours the page has, though it came with them. Each time all of it is styled anew. This tells the first before there
   is anything to style, and the second when the colours change. Loaded before the theme's script, which also leaves all of
   its choices of colours unchecked: Tab would go to the first of them, though another may be the one that is seen. */
"use strict";

{
  const { classList } = document.documentElement;
  classList.add("js-focus-visible");
  classList.replace("no-js", "js");

  const SWITCHING = "data-md-color-switching"; // nothing fades from one colour to another
  const set = Element.prototype.setAttribute;
  let isSwitching = false;
  window.HTMLBodyElement.prototype.setAttribute = function (name, value) {
    if (name === SWITCHING) isSwitching = true;
    else {
      if (isSwitching && this.getAttribute(name) !== value) set.call(this, SWITCHING, "");
      set.call(this, name, value);
    }
  };

  const append = document.head.appendChild.bind(document.head);
  document.head.appendChild = node => {
    if (node.localName !== "meta" || node.name !== "color-scheme") return append(node);
    const tell = () => {
      if (!node.isConnected && !/^(|normal|light)$/.test(node.content)) append(node);
    };
    new MutationObserver(tell).observe(node, { attributes: true });
    return node;
  };

  addEventListener("load", () => {
    const seen = [...document.querySelectorAll(".md-option + label")].find(one => !one.hidden);
    if (seen) seen.previousElementSibling.checked = true;
  });
}
