"""From a key on a slider to the new picture, in a real browser, for each notebook as a page."""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from pickupcalc.show.suite import FIRST_PAGE
from tests.benchmarks.frame import Figure
from tests.browser.conftest import CHROMIUM, FLAGS, served
from tests.browser.test_notebooks import DIAL, PAGES, PATIENCE, PICTURE

LIMIT = 0.25  # s
TURNS = 9
PRESSED = """selector => {
    window.before = document.querySelector(selector).innerHTML;
    window.pressed = performance.now();
}"""
DRAWN = "selector => document.querySelector(selector).innerHTML !== window.before && performance.now()"


def figures() -> Iterator[Figure]:
    with _pages() as base, sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for name in PAGES:
            page = browser.new_page(viewport={"width": 1300, "height": 1000})
            page.goto(f"{base}/voila/render/{name}")
            times = _latency(page)
            page.close()
            if times:
                spread = f"{min(times):.2f} to {max(times):.2f} s"
                yield Figure(f"{name}, {spread}", statistics.median(times), LIMIT)
        browser.close()


@contextmanager
def _pages() -> Iterator[str]:
    app = ["--app", "--folder", "mine"]
    path = f"/voila/render/{FIRST_PAGE}"
    with tempfile.TemporaryDirectory() as folder, served(app, Path(folder), path) as base:
        yield base


def _latency(page: Page) -> list[float]:
    """Seconds from key to picture, several times."""
    page.locator(PICTURE).first.wait_for(timeout=PATIENCE)
    handle = page.locator(DIAL).first
    if handle.count() == 0:
        return []
    handle.scroll_into_view_if_needed()
    handle.focus()
    at_end = handle.evaluate("slider => slider.value === slider.max")
    key = "ArrowLeft" if at_end else "ArrowRight"
    handle.press(key)
    page.wait_for_timeout(1000)
    times = []
    for _ in range(TURNS):
        page.evaluate(PRESSED, PICTURE)
        handle.press(key)
        drawn = page.wait_for_function(DRAWN, arg=PICTURE, timeout=10_000).json_value()
        times.append((drawn - page.evaluate("() => window.pressed")) / 1000)
        page.wait_for_timeout(400)
    return times[1:]
