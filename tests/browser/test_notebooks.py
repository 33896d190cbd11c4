"""Every notebook in a real browser: it runs, dials move its picture, wrong values are explained."""

from __future__ import annotations

from contextlib import contextmanager

import pytest
from axe_playwright_python.sync_playwright import Axe

from pickupcalc.show.suite import FIRST_PAGE
from tests.conftest import ROOT

PAGES = sorted(p.name for p in (ROOT / "notebooks").glob("*.ipynb") if p.name != FIRST_PAGE)
PATIENCE = 60_000  # ms
DIAL = "input[type=range]"
WITHOUT_SLIDER = {"13_hand_it_back.ipynb", "14_how_far_to_trust_this.ipynb"}
PICTURE = ".jupyter-widgets [role=img]"
STILL = 500  # ms
# Landmarks round the cells, and whether a long formula takes the focus: the server's templates decide.
OF_THE_SERVER = {rule: {"enabled": False} for rule in ("region", "scrollable-region-focusable")}
STANDS = """([selector, before, still]) => {
    const now = document.querySelector(selector).innerHTML;
    if (now !== window.shown) [window.shown, window.since] = [now, performance.now()];
    return now !== before && performance.now() - window.since > still;
}"""
# The player that is there now, at each look: what is drawn anew brings a player of its own.
PLAYED = """() => {
    const audio = document.querySelector("audio");
    audio.play().catch(() => null);
    return audio.currentTime > 0.1 && audio.duration;
}"""


def in_lab(page, lab, name):
    page.goto(f"{lab}/lab/tree/{name}?token=bench&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=PATIENCE)
    # Widgets of cells that run before the kernel stands find no model to show.
    page.get_by_text("Python 3 (ipykernel) | Idle").wait_for(timeout=PATIENCE)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_text("Run All Cells", exact=True).click()


def in_voila(page, voila, name):
    page.goto(f"{voila}/voila/render/{name}")


def turn(page, name):
    """The first slider by keyboard; where there is none, the last menu."""
    if name in WITHOUT_SLIDER:
        page.locator(".jupyter-widgets select").last.select_option(index=1)
        return
    slider = page.locator(DIAL).first
    slider.scroll_into_view_if_needed(timeout=PATIENCE)
    slider.focus()
    for _ in range(4):
        slider.press("ArrowRight")


def move_and_mistype(page, name):
    """A dial by keyboard, then a wrong value and a wrong path: what a person would do."""
    picture = page.locator(PICTURE).first
    picture.wait_for(timeout=PATIENCE)
    with redrawn(page):
        turn(page, name)
    fields = page.locator(".widget-text input:visible")
    if fields.count():
        type_wrong(page, fields.last, "banana")  # not the one whose slider still settles
    jobs = page.get_by_label("job", exact=True)
    if jobs.count():
        jobs.first.select_option(label="own file")
        type_wrong(page, page.get_by_label("its path").first, "no_such.toml")


@contextmanager
def redrawn(page):
    """What is done inside must change the picture, which stands still then: fast keys draw several."""
    before = page.locator(PICTURE).first.inner_html()
    yield
    page.wait_for_function(STANDS, arg=[PICTURE, before, STILL], timeout=PATIENCE)


def type_wrong(page, field, text):
    field.fill(text)
    field.press("Enter")
    page.locator("[role=alert]", has_text=text).first.wait_for(timeout=PATIENCE)


def choose_and_save(page, suite_folder):
    """Another job, back to the first, its leads swapped, and that written into a copy of one's own."""
    jobs = page.get_by_label("job", exact=True).first
    for name in ("Stock no. 5, short baritone", "Stock no. 12, long-scale bass"):
        with redrawn(page):
            jobs.select_option(label=f"{name} (demonstration)")
    assert page.locator(PICTURE).first.is_visible()
    with redrawn(page):
        page.get_by_label("second's leads").select_option(label="swapped")
    page.get_by_role("button", name="save to job").click()
    told = page.locator("[role=status]", has_text="is written").first
    told.wait_for(timeout=PATIENCE)
    written = suite_folder / "mine" / "notebooks" / told.inner_text().split(" is written")[0]
    assert 'tap = "positive"                # came back' in written.read_text(encoding="utf-8")


def play(page, suite_folder):
    """A sound: it has a length, and it moves."""
    length = page.wait_for_function(PLAYED, timeout=PATIENCE, polling=100).json_value()
    assert 1 < length < 10


MORE = {"04_two_pickups_together.ipynb": choose_and_save, "05_how_will_two_sound_together.ipynb": play}


def try_out(page, name, suite_folder):
    move_and_mistype(page, name)
    if name in MORE:
        MORE[name](page, suite_folder)
    no_faults(page)


def no_faults(page):
    assert page.locator("[data-mime-type='application/vnd.jupyter.error']").count() == 0
    assert page.locator("[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
    assert page.get_by_text("Traceback (most recent call last)").count() == 0


@pytest.mark.parametrize("name", PAGES)
def test_in_jupyterlab(page, lab, suite_folder, name):
    in_lab(page, lab, name)
    try_out(page, name, suite_folder)


@pytest.mark.parametrize("name", PAGES)
def test_as_a_page_without_code(page, voila, suite_folder, name):
    in_voila(page, voila, name)
    try_out(page, name, suite_folder)
    assert page.get_by_text("import pickupcalc").count() == 0
    found = Axe().run(page, options={"rules": OF_THE_SERVER})
    assert found.violations_count == 0, found.generate_report()


def test_the_first_page_leads_to_all_others(page, voila):
    page.goto(f"{voila}/voila/render/{FIRST_PAGE}")
    page.wait_for_selector("table a", timeout=PATIENCE)
    links = [a.get_attribute("href") for a in page.locator("table a").all()]
    assert sorted(link.rpartition("/")[2] for link in links) == PAGES
    page.locator("table a").first.click()
    page.locator(PICTURE).first.wait_for(timeout=PATIENCE)
