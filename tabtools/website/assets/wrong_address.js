// The page for an address that is none. It may stand at any depth, below a site in a folder of its own or on a disk: its
// links are led to where the site begins, which is the nearest folder above that has the feed of the site.

const MARK = "feed.xml";

/** The folders above an address, the nearest first. */
export const foldersAbove = (path) => {
  const parts = path.split("/").slice(0, -1);
  return parts.map((_, at) => `${parts.slice(0, parts.length - at).join("/")}/`);
};

const isSite = async (folder) => (await fetch(folder + MARK, { method: "HEAD" }).catch(() => null))?.ok;

const begin = async () => {
  const stored = JSON.parse(localStorage.getItem(`${document.body.dataset.root}.__palette`) ?? "null");
  const scheme = stored?.color?.scheme ?? (matchMedia("(prefers-color-scheme: dark)").matches ? "slate" : "default");
  document.body.dataset.mdColorScheme = scheme;
  const [nearest, ...further] = foldersAbove(location.pathname);
  let root = location.pathname.endsWith("/404.html") ? nearest : document.body.dataset.root;
  if (!root) for (root of [nearest, ...further]) if (await isSite(root)) break;
  for (const link of document.querySelectorAll("a[data-to]")) link.href = root + link.dataset.to;
};

if (globalThis.document) begin();
