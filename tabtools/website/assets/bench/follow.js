// Following what is saved: the server tells which page has changed, and the open page takes its new parts in.

import { Panel } from "./panel.js";
import { articleOf, swap } from "./swap.js";

/** Follows changes for as long as the page is open and seen. */
export const follow = () => {
  const { mount, number } = document.querySelector(".tt-bench-script").dataset;
  const own = location.pathname.slice(mount.length).replace(/(^|\/)index\.html$/, "$1");
  const panel = new Panel();
  let seen = Number(number);
  let source = null;
  let latest = 0;

  const renew = async () => {
    const turn = (latest += 1);
    const answer = await fetch(location.pathname, { cache: "no-store" }).catch(() => null);
    const text = await answer?.text();
    if (!text || turn !== latest) return;
    const next = new DOMParser().parseFromString(text, "text/html");
    if (!document.querySelector(".tt-tab") || !next.querySelector(".tt-tab")) {
      location.reload();
      return;
    }
    const changed = swap(articleOf(document), articleOf(next), globalThis.tabtools.begin);
    document.title = next.title;
    panel.show(next, changed);
  };

  const listen = () => {
    if (source || document.hidden) return;
    source = new EventSource(`${mount}_tabtools/news`);
    source.addEventListener("hello", ({ data }) => {
      if (Number(data) === seen) return;
      seen = Number(data);
      renew();
    });
    source.addEventListener("message", ({ data }) => {
      const { number: now, page } = JSON.parse(data);
      seen = now;
      if (page === "" || page === own || !document.querySelector(".tt-tab")) renew();
    });
  };

  document.addEventListener("visibilitychange", () => {
    if (document.hidden) {
      source?.close();
      source = null;
    } else listen();
  });
  panel.show(document, null);
  listen();
};
