"""Whatever a job file calls things stays text: on pages, in drawings, widgets, SPICE decks, on a terminal.

The same instrument is shown twice, once with harmless names. The hostile ones may
add text, but no element, no attribute, no line of a deck.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import html5lib
import pytest

import pickupcalc as pc
from pickupcalc.answers.response import signal_emf
from pickupcalc.answers.sound.heard import sound
from pickupcalc.cli import main
from pickupcalc.instrument.harness import circuit, harness
from pickupcalc.show.explorers.circuit import pair_explorer, peak_explorer
from pickupcalc.show.explorers.handover import handover
from pickupcalc.show.explorers.polarity import plan_explorer
from pickupcalc.show.explorers.pots import pots_explorer
from pickupcalc.show.pages.page import Sheet, bench_page, borrower_page
from pickupcalc.show.plots import responses_figure, svg
from pickupcalc.show.schematic import schematic
from tests.conftest import ROOT

HOSTILE = (
    "<script>alert(1)</script>",
    "\"'><img src=x onerror=alert(1)>",
    "</svg><b onclick='x'>&amp;&#60;",
    "{{ 7 * 7 }}{% include 'x' %}{# #}",
    r"$\frac{$ and ${7*7}$",
    "_left out of legends?",
    "*.include /etc/passwd",
    "'; DROP TABLE pickups; --",
    "弦 ギター 🎸",
    r"\u001b[2J\n %s %(x)s {0}",
)
TEXTS = ("about", "neck", "bridge", "both", "alone", "tone", "house", "kind", "meter", "note")
JOB = """\
# Invented for a test.
format = 1
[instrument]
name = {about}
scale_length = "812 mm"
strings = ["E1", "A1", "D2", "G2"]
[[pickup]]
name = {neck}
distance_from_bridge = "158 mm"
resistance = "6.10 kohm"
inductance = "2.45 H"
magnet = "north"
tap = "positive"
magnet_kind = {kind}
housing = {house}
[[pickup]]
name = {bridge}
distance_from_bridge = "40 mm"
resistance = "7.2 kohm"
inductance = "3.1 H"
magnet = "north"
tap = "positive"
[[control]]
kind = "volume"
track = "250k"
[[control]]
kind = "tone"
name = {tone}
track = "250k"
capacitor = "22 nF"
[[position]]
name = {both}
wiring = {{ parallel = [{neck}, {bridge}] }}
wanted = ["in phase", "hum-cancelling"]
[[position]]
name = {alone}
wiring = {{ item = {bridge}, series_capacitor = "4.7 nF" }}
[[reading]]
quantity = "hum_change"
position = {both}
value = "-20 dB"
meter = {meter}
note = {note}
"""


def written(path, names):
    quoted = {key: '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"' for key, name in names.items()}
    path.write_text(JOB.format(**quoted), encoding="utf-8")
    return pc.read_job(path)


@pytest.fixture(params=range(0, len(HOSTILE), 2), ids=lambda i: HOSTILE[i][:12])
def jobs(request, tmp_path):
    """The job with harmless names, the same with hostile ones, and these names."""
    turned = HOSTILE[request.param :] + HOSTILE[: request.param]
    names = dict(zip(TEXTS, turned, strict=True))
    harmless = {key: f"name {key}" for key in TEXTS}
    return written(tmp_path / "plain.toml", harmless), written(tmp_path / "hostile.toml", names), names


def sheet(job):
    instrument = job.instrument
    heard = [sound(instrument, p.name, spread=False) for p in instrument.positions]
    files = {p.name: "a.wav" for p in instrument.positions}
    told = {"before": instrument, "sounds": heard, "files": files, "history": job.readings}
    return Sheet(instrument, date(2026, 3, 31), pc.positions(instrument), **told)


def skeleton(html):
    """Every kind of element with the names of its attributes, and all the text and attributes' values."""
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    kinds, words = set(), []
    for element in tree.iter():
        kinds.add((str(element.tag), *sorted(map(str, element.attrib))))
        words += [element.text or "", element.tail or "", *element.attrib.values()]
    return kinds, " ".join(words)


@pytest.mark.parametrize("make", [bench_page, borrower_page])
def test_pages(jobs, make):
    plain, hostile, names = jobs
    kinds, _ = skeleton(make(sheet(plain)))
    found, words = skeleton(make(sheet(hostile)))
    assert found <= kinds
    for key in ("about", "neck", "bridge", "both", "alone"):
        assert names[key] in words
    assert "49" not in re.sub(r"[0-9.]{3,}", "", words)  # 7 * 7 was not worked out


def test_drawings(jobs):
    plain, hostile, _ = jobs
    kinds = set()
    for position in plain.instrument.positions:
        kinds |= skeleton(schematic(harness(plain.instrument, position).parts()))[0]
    for position in hostile.instrument.positions:
        assert skeleton(schematic(harness(hostile.instrument, position).parts()))[0] <= kinds


@pytest.mark.parametrize("name", HOSTILE)
def test_a_legend_shows_each_name_letter_by_letter(name):
    bass = pc.read_job(ROOT / "data" / "bass_12.toml").instrument
    curve = replace(pc.response(bass, "both"), position=name)
    assert name in skeleton(svg(responses_figure([curve])))[1]


def deck(instrument, position):
    return pc.spice_deck(
        circuit(instrument, position), signal_emf(instrument, position), instrument.about.name
    ).splitlines()


def test_decks(jobs):
    """Comments may differ, the rest may not."""
    plain, hostile, _ = (job.instrument if hasattr(job, "instrument") else job for job in jobs)
    for a, b in zip(plain.positions, hostile.positions, strict=True):
        for old, new in zip(deck(plain, a), deck(hostile, b), strict=True):
            assert old == new or (old[0] == new[0] == "*" and new.isascii() and new.isprintable())


def test_a_name_of_several_lines_makes_no_line_of_a_deck():
    """Names from a job file are one line each; a circuit made by a script may have any."""
    from pickupcalc.physics.circuit.network import Branch, Circuit

    name = "a\n.include x\r\x0b\u2028R9 1 2 3"
    made = Circuit((Branch(name, "sleeve", "tip", resistance=1.0, emf=True),), "tip", "sleeve")
    lines = pc.spice_deck(made, {name: 1.0}, title=name).splitlines()
    harmless = Circuit((Branch("b", "sleeve", "tip", resistance=1.0, emf=True),), "tip", "sleeve")
    wanted = pc.spice_deck(harmless, {"b": 1.0}).splitlines()
    assert [x for x in lines if x[0] != "*"] == [x for x in wanted if x[0] != "*"]


def widget_texts(widget):
    """Everything that a widget and what is inside it would give to a browser as HTML."""
    found = [widget.value] if type(widget).__name__ == "HTML" else []
    for child in getattr(widget, "children", ()):
        found += widget_texts(child)
    return found


@pytest.mark.parametrize("jobs", [0, 4], indirect=True)
@pytest.mark.parametrize("make", [handover, pair_explorer, peak_explorer, plan_explorer, pots_explorer])
def test_widgets(jobs, make, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    plain, hostile, _ = jobs
    made = []
    for job in (plain, hostile):
        page = make()
        page.dials["job"].menu.value = ""
        page.dials["job"].path.value = str(job.path)
        assert page.dials["job"].settled
        page.export.click()
        page.save.click()
        made.append(set().union(*(skeleton(text)[0] for text in widget_texts(page))))
    assert made[1] <= made[0]


def test_tables_of_a_notebook(jobs):
    plain, hostile, _ = jobs
    made = []
    for job in (plain, hostile):
        instrument = job.instrument
        objects = [pc.truth(instrument, instrument.positions[0]), pc.listen(pc.takes(instrument))]
        made.append(set().union(*(skeleton(o._repr_html_())[0] for o in objects)))
    assert made[1] == made[0]


def test_commands(jobs, capsys):
    _, hostile, _ = jobs
    path = str(hostile.path)
    for arguments in (["sheet"], ["plan", "--steps"], ["plan", "--truth"], ["jack"], ["status"], ["record"]):
        assert main([arguments[0], path, *arguments[1:]]) == 0
        out, err = capsys.readouterr()
        assert "\x1b" not in out + err


@pytest.mark.parametrize("jobs", [0], indirect=True)
def test_a_sound_file_is_named_in_plain_letters(jobs, tmp_path, capsys):
    _, hostile, _ = jobs
    page = tmp_path / "out" / "page.html"
    page.parent.mkdir()
    assert main(["sheet", str(hostile.path), "--html", str(page), "--sounds"]) == 0
    for file in page.parent.iterdir():
        assert re.fullmatch(r"page(-[12]-[a-z0-9-]*)?\.(html|wav)", file.name)


@pytest.mark.parametrize("name", ["two\nlines", "\x1b[2J", "nul\0", "a\u2028b", "‮", "x" * 81, " "])
def test_names_that_are_no_line_of_text(name):
    with pytest.raises(pc.InputError, match="name"):
        pc.About(name=name)


def test_templates_escape_by_default():
    """Only drawings of ours are put in as they are."""
    drawings, safe = {"plot", "comparison", "drawing", "svg", "spectrum"}, []
    for path in (ROOT / "pickupcalc" / "show" / "templates").glob("*.j2"):
        safe += re.findall(r"\{\{([^}]*)\|\s*safe", path.read_text(encoding="utf-8"))
        assert "autoescape" not in path.read_text(encoding="utf-8")
    assert {s.strip().rpartition(".")[2] for s in safe} <= drawings
