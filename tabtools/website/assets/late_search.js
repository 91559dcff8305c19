/* The theme loads its index of the site and a worker for it with every page. This has both wait until somebody goes to
   the search, or comes from it with words to be marked. Loaded before the theme's script, which asks for the index by
   XMLHttpRequest, or from a disk by a script in the head. */
"use strict";

{
  const INDEX = /\/search\/search_index\.js(on)?$/;
  const isSearch = one => one instanceof Element && one.matches(".md-search__input, [data-md-toggle=search]");

  const wanted = new Promise(resolve => {
    if (/[?&][hq]=/.test(location.search)) resolve();
    for (const kind of ["focusin", "change"]) {
      document.addEventListener(kind, event => isSearch(event.target) && resolve(), true);
    }
  });

  window.XMLHttpRequest = class extends window.XMLHttpRequest {
    open(method, address, ...more) {
      this.isLate = INDEX.test(new URL(address, document.baseURI).pathname);
      super.open(method, address, ...more);
    }

    send(body) {
      if (this.isLate) wanted.then(() => super.send(body));
      else super.send(body);
    }
  };

  const append = document.head.appendChild.bind(document.head);
  document.head.appendChild = node => {
    if (node.localName !== "script" || !INDEX.test(new URL(node.src, document.baseURI).pathname)) return append(node);
    wanted.then(() => append(node));
    return node;
  };

  const Native = window.Worker;
  window.Worker = class extends EventTarget {
    constructor(...asked) {
      super();
      this.asked = asked;
    }

    postMessage(data) {
      if (!this.real) {
        this.real = new Native(...this.asked);
        this.real.addEventListener("message", ({ data: said }) => this.dispatchEvent(new MessageEvent("message", { data: said })));
      }
      this.real.postMessage(data);
    }

    terminate() {
      this.real?.terminate();
    }
  };
}
