"""Every notebook in a real browser: it runs, dials move its picture, wrong values are explained."""

from __future__ import annotations

import pytest

from pickupcalc.show.suite import FIRST_PAGE
from tests.conftest import ROOT

PAGES = sorted(p.name for p in (ROOT / "notebooks").glob("*.ipynb") if p.name != FIRST_PAGE)
PATIENCE = 60_000  # ms
DIAL = ".noUi-handle"
PICTURE = ".jupyter-widgets [role=img]"


def in_lab(page, lab, name):
    page.goto(f"{lab}/lab/tree/{name}?token=bench&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=PATIENCE)
    # Widgets of cells that run before the kernel stands find no model to show.
    page.get_by_text("Python 3 (ipykernel) | Idle").wait_for(timeout=PATIENCE)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_text("Run All Cells", exact=True).click()


def in_voila(page, voila, name):
    page.goto(f"{voila}/voila/render/{name}")


def turn(page):
    """The first slider by keyboard; where there is none, the first menu."""
    handle = page.locator(DIAL).first
    if handle.count() == 0:
        page.locator(".jupyter-widgets select").first.select_option(index=1)
        return
    handle.scroll_into_view_if_needed()
    handle.focus()
    for _ in range(4):
        handle.press("ArrowRight")


def move_and_mistype(page):
    """A dial by keyboard, then a wrong value: what a person would do."""
    picture = page.locator(PICTURE).first
    picture.wait_for(timeout=PATIENCE)
    before = picture.inner_html()
    turn(page)
    page.wait_for_function(
        "([selector, before]) => document.querySelector(selector).innerHTML !== before",
        arg=[PICTURE, before],
        timeout=PATIENCE,
    )
    field = page.locator(".widget-text input").last  # not the one whose slider still settles
    if field.count():
        field.fill("banana")
        field.press("Enter")
        page.locator("[role=alert]", has_text="banana").first.wait_for(timeout=PATIENCE)


def no_faults(page):
    assert page.locator("[data-mime-type='application/vnd.jupyter.error']").count() == 0
    assert page.locator("[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
    assert page.get_by_text("Traceback (most recent call last)").count() == 0


@pytest.mark.parametrize("name", PAGES)
def test_in_jupyterlab(page, lab, name):
    in_lab(page, lab, name)
    move_and_mistype(page)
    no_faults(page)


@pytest.mark.parametrize("name", PAGES)
def test_as_a_page_without_code(page, voila, name):
    in_voila(page, voila, name)
    move_and_mistype(page)
    no_faults(page)
    assert page.get_by_text("import pickupcalc").count() == 0


def test_the_first_page_leads_to_all_others(page, voila):
    page.goto(f"{voila}/voila/render/{FIRST_PAGE}")
    page.wait_for_selector("table a", timeout=PATIENCE)
    links = [a.get_attribute("href") for a in page.locator("table a").all()]
    assert sorted(link.rpartition("/")[2] for link in links) == PAGES
    page.locator("table a").first.click()
    page.locator(PICTURE).first.wait_for(timeout=PATIENCE)
