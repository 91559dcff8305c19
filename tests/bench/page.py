"""What the page of one solo weighs, and how soon it can be used.

    python tests/bench/page.py [BARS]

Weighed, compressed, are the page and all that it loads, the theme's own files apart, and as they lie on the disk a
solo's page and its files for others. It can be used when the button
that plays is there and the first bar has been painted; the pages are read from this machine, without a cache, and an
empty page of the same site is timed beside them. With a processor four times as slow, the longest task and all time
spent on styles are told.
"""

from __future__ import annotations

import gzip
import statistics
import sys
import tempfile
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Browser
from solos import solo

for part in ("website", "review"):
    sys.path.insert(0, str(Path(__file__).parents[1] / part))

from browser import chromium, watched  # noqa: E402
from sites import CONFIG, served, write_site  # noqa: E402

from tabtools.website.build import build_site  # noqa: E402

RUNS = 7
THEMES = ("assets/stylesheets/", "assets/javascripts/", "assets/images/", "search/")
TASKS = """
window.tasks = [];
new PerformanceObserver(list => window.tasks.push(...list.getEntries().map(one => one.duration)))
  .observe({type: "longtask", buffered: true});
"""
WATCH = """() => {
  const done = () => setTimeout(() => { window.usable = performance.now(); });
  const isThere = () => document.querySelector(".tt-practice:not([hidden])") && document.querySelector(".tt-bar svg");
  const look = () => requestAnimationFrame(isThere() ? done : look);
  look();
}"""


def main(bars: int) -> None:
    with tempfile.TemporaryDirectory() as name, chromium() as browser:
        solos = {"long.solo": solo(7, bars), "short.solo": solo(8, 1)}
        folder = build_site(write_site(Path(name), solos, CONFIG.partition("\nnav:")[0]))
        page = next(one for one in folder.glob("solos/long*") if one.suffix == ".html" or one.is_dir())
        ending = ".html" if page.suffix else "/"
        with served(folder) as address:
            weighed = _weights(browser, f"{address}/solos/long{ending}")
            long, short = (_soon(browser, f"{address}/solos/{one}{ending}") for one in ("long", "short"))
            longest, styling = _slowed(browser, f"{address}/solos/long{ending}")
        stored = sum(one.stat().st_size for one in folder.glob("solos/**/long*") if one.is_file())
    print(f"{bars} bars: {sum(weighed.values()) / 1000:.0f} kB compressed")
    for path, size in sorted(weighed.items(), key=lambda entry: -entry[1]):
        print(f"  {size / 1000:6.1f} kB  {path}")
    print(f"can be used after {long:.0f} ms; with one bar after {short:.0f} ms")
    print(f"four times slowed: the longest task {longest:.0f} ms, styles {styling:.0f} ms in all")
    print(f"on the disk {stored / 1000:.0f} kB, with its files; 3000 such solos {3 * stored / 1000000:.2f} GB")


def _weights(browser: Browser, address: str) -> dict[str, int]:
    sizes: dict[str, int] = {}
    home = address.partition("/solos/")[0]
    with watched(browser, home) as blank:
        blank.context.on("response", lambda got: got.ok and sizes.update({got.url: len(gzip.compress(got.body()))}))
        blank.goto(address)
        blank.wait_for_load_state("networkidle")
    paths = {urlsplit(url).path.lstrip("/"): size for url, size in sizes.items()}
    return {path: size for path, size in paths.items() if not path.startswith(THEMES)}


def _slowed(browser: Browser, address: str) -> tuple[float, float]:
    """Milliseconds of the longest task and of all styling, the medians of some visits with a slowed processor."""
    longest, styling = [], []
    for _ in range(RUNS):
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        page = context.new_page()
        session = context.new_cdp_session(page)
        session.send("Emulation.setCPUThrottlingRate", {"rate": 4})
        session.send("Performance.enable")
        page.add_init_script(TASKS)
        page.goto(address)
        page.wait_for_load_state("networkidle")
        page.wait_for_timeout(2000)
        metrics = {one["name"]: one["value"] for one in session.send("Performance.getMetrics")["metrics"]}
        longest.append(page.evaluate("Math.max(0, ...window.tasks)"))
        styling.append(1000 * metrics["RecalcStyleDuration"])
        context.close()
    return statistics.median(longest), statistics.median(styling)


def _soon(browser: Browser, address: str) -> float:
    """Milliseconds from the start of the navigation, the median of some visits."""
    times = []
    for _ in range(RUNS):
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        page = context.new_page()
        page.add_init_script(f"({WATCH})()")
        page.goto(address)
        page.wait_for_function("window.usable")
        times.append(page.evaluate("window.usable"))
        context.close()
    return statistics.median(times)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 64)
