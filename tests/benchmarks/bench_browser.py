"""From a key on a slider to the new picture, in a real browser, for each notebook as a page.

python tests/benchmarks/bench_browser.py

"""

from __future__ import annotations

import statistics
import sys
import tempfile
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import Page, sync_playwright  # noqa: E402

from tests.browser.conftest import CHROMIUM, FLAGS, _served  # noqa: E402
from tests.browser.test_notebooks import DIAL, PAGES, PATIENCE, PICTURE  # noqa: E402

TURNS = 9
PRESSED = """selector => {
    window.before = document.querySelector(selector).innerHTML;
    window.pressed = performance.now();
}"""
DRAWN = "selector => document.querySelector(selector).innerHTML !== window.before && performance.now()"


@contextmanager
def pages() -> object:
    with tempfile.TemporaryDirectory() as folder:
        server = _served(["--app", "--folder", "mine"], Path(folder), "/voila/render/00_start_here.ipynb")
        yield next(server)
        next(server, None)


def latency(page: Page) -> list[float]:
    """Milliseconds from key to picture, several times."""
    page.locator(PICTURE).first.wait_for(timeout=PATIENCE)
    handle = page.locator(DIAL).first
    if handle.count() == 0:
        return []
    handle.scroll_into_view_if_needed()
    handle.focus()
    at_end = handle.get_attribute("aria-valuenow") == handle.get_attribute("aria-valuemax")
    key = "ArrowLeft" if at_end else "ArrowRight"
    for _ in range(2):  # a slider between two steps spends its first key on moving to one
        handle.press(key)
        page.wait_for_timeout(1000)
    times = []
    for _ in range(TURNS):
        page.evaluate(PRESSED, PICTURE)
        handle.press(key)
        drawn = page.wait_for_function(DRAWN, arg=PICTURE, timeout=10_000).json_value()
        times.append(drawn - page.evaluate("() => window.pressed"))
        page.wait_for_timeout(400)
    return times[1:]


def main() -> None:
    with pages() as base, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for name in PAGES:
            page = browser.new_page(viewport={"width": 1300, "height": 1000})
            page.goto(f"{base}/voila/render/{name}")
            times = latency(page)
            told = (
                f"median {statistics.median(times):4.0f} ms, {min(times):.0f} to {max(times):.0f}"
                if times
                else "no slider"
            )
            print(f"{name:40} {told}")
            page.close()
        browser.close()


if __name__ == "__main__":
    main()
