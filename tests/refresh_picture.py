"""Take the README's picture anew: the page on two pickups in a browser, as it opens.

    python tests/refresh_picture.py

Needs Chromium and the extra "test".
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from playwright.sync_api import sync_playwright  # noqa: E402

from tests.browser.conftest import CHROMIUM, FLAGS, served  # noqa: E402
from tests.browser.test_notebooks import PATIENCE, PICTURE  # noqa: E402

PAGE = "04_two_pickups_together.ipynb"
TARGET = ROOT / "data" / "pictures" / "two_pickups.png"


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        path = f"/voila/render/{PAGE}"
        with served(["--app", "--folder", "mine"], Path(folder), path) as base:
            browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            page = browser.new_page(viewport={"width": 1240, "height": 930})
            page.goto(f"{base}{path}")
            page.locator(PICTURE).first.wait_for(timeout=PATIENCE)
            page.wait_for_timeout(1000)  # for fonts and dials
            TARGET.parent.mkdir(exist_ok=True)
            page.screenshot(path=TARGET)
            browser.close()


if __name__ == "__main__":
    main()
