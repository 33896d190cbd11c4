"""The sheet's pages in a real browser: alone, fitting, readable, well on paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import pickupcalc as pc
from pickupcalc.show.pages.page import Sheet, bench_page, borrower_page
from tests.conftest import DEMOS

MAKERS = {"bench": bench_page, "borrower": borrower_page}


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """A page of each kind for each demo, with the job as it came in for one of them."""
    folder = tmp_path_factory.mktemp("pages")
    made = {}
    for path in DEMOS:
        instrument = pc.read_job(path).instrument
        before = replace(instrument, load=pc.Load(cable_length="9 m"))
        sheet = Sheet(instrument, date(2026, 1, 31), pc.positions(instrument), before=before)
        for kind, make in MAKERS.items():
            made[path.stem, kind] = folder / f"{path.stem}_{kind}.html"
            made[path.stem, kind].write_text(make(sheet), encoding="utf-8")
    return made


CASES = [(p.stem, kind) for p in DEMOS for kind in MAKERS]


@pytest.mark.parametrize("case", CASES, ids=" ".join)
@pytest.mark.parametrize("width", [360, 1000])
def test_opens_alone_and_fits(browser, files, case, width):
    page = browser.new_page(viewport={"width": width, "height": 800})
    said, asked = [], []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(files[case].as_uri())
    assert said == []
    assert asked == [files[case].as_uri()]
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.close()


@pytest.mark.parametrize("case", CASES, ids=" ".join)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_accessible(browser, files, case, scheme):
    """axe-core: contrast, labels, headings, regions."""
    from axe_playwright_python.sync_playwright import Axe

    page = browser.new_page(color_scheme=scheme)
    page.goto(files[case].as_uri())
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    page.close()


@pytest.mark.parametrize("case", CASES, ids=" ".join)
def test_no_text_of_a_drawing_meets_another(browser, files, case):
    page = browser.new_page(viewport={"width": 1200, "height": 800})
    page.goto(files[case].as_uri())
    met = page.evaluate(
        """() => [...document.querySelectorAll('.drawing svg')].flatMap(svg => {
            const texts = [...svg.querySelectorAll('text')];
            const boxes = texts.map(t => [t.textContent, t.getBoundingClientRect()]);
            return boxes.flatMap(([a, p], i) => boxes.slice(i + 1).filter(([, q]) =>
                p.left < q.right - 1 && q.left < p.right - 1 && p.top < q.bottom - 1 && q.top < p.bottom - 1
            ).map(([b]) => a + ' / ' + b));
        })"""
    )
    assert met == []
    page.close()


@pytest.mark.parametrize("stem", [p.stem for p in DEMOS])
def test_on_paper(browser, files, tmp_path, stem):
    """The borrower's page is one sheet of A4 for up to five positions."""
    pages = {}
    for kind in MAKERS:
        page = browser.new_page()
        page.goto(files[stem, kind].as_uri())
        pdf = page.pdf(format="A4", prefer_css_page_size=True)
        pages[kind] = pdf.count(b"/Type /Page\n") or pdf.count(b"/Type /Page")
        page.close()
    positions = pc.read_job(next(p for p in DEMOS if p.stem == stem)).instrument.positions
    assert pages["borrower"] <= (1 if len(positions) <= 5 else 2)
    assert pages["bench"] <= 12
