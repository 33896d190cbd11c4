"""Circuit drawings: every part there with its value, no text on another, names only text."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

import pickupcalc as pc
from pickupcalc.instrument.harness import harness
from pickupcalc.show.schematic import schematic
from tests.conftest import DEMOS

SVG = "{http://www.w3.org/2000/svg}"
CASES = [(path, p.name) for path in DEMOS for p in pc.read_job(path).instrument.positions]


def drawn(instrument, position):
    found = harness(instrument, instrument.position(position))
    return found, ElementTree.fromstring(schematic(found.parts()))


def texts(tree):
    return [(t, "".join(t.itertext()).strip()) for t in tree.iter(f"{SVG}text")]


def box(text):
    """Left, right, top and bottom of lines of text, with 6 units to a letter of 10 points."""
    lines = ["".join(line.itertext()) for line in text.iter(f"{SVG}tspan")] or ["".join(text.itertext())]
    x, y = float(text.get("x")), float(text.get("y"))
    return x, x + 6 * max(map(len, lines)), y - 10, y + 10 * (len(lines) - 1)


@pytest.mark.parametrize(("path", "position"), CASES, ids=[f"{p.stem}: {n}" for p, n in CASES])
def test_every_part_is_named_and_no_text_meets_another(path, position):
    found, tree = drawn(pc.read_job(path).instrument, position)
    said = "".join(text for _, text in texts(tree)).replace(" ", "")
    for branch in found.parts().branches:
        if branch.name != "amplifier input":
            assert branch.name.replace(" ", "") in said
    boxes = [box(t) for t, text in texts(tree) if text]
    for i, (left, right, top, bottom) in enumerate(boxes):
        for other_left, other_right, other_top, other_bottom in boxes[i + 1 :]:
            beside = right <= other_left or other_right <= left
            assert beside or bottom <= other_top or other_bottom <= top


def test_a_name_is_text():
    evil = "<script>$x$</script>"
    pickup = pc.Pickup(name=evil, resistance="6 kohm", inductance="2.4 H")
    _, tree = drawn(pc.Instrument(pc.About(name="x"), (pickup,)), evil)
    assert not list(tree.iter(f"{SVG}script"))
    assert "script" in "".join(text for _, text in texts(tree))


def test_parts_at_items_and_reversed_coils_are_drawn():
    coil = {"resistance": "6 kohm", "inductance": "2.4 H"}
    pickups = tuple(pc.Pickup(name=n, **coil) for n in "ab")
    wiring = {
        "series": [{"reversed": "a"}, {"item": "b", "series_capacitor": "4.7 nF", "parallel_resistor": "1M"}]
    }
    position = pc.Position(name="p", wiring=wiring)
    found, tree = drawn(pc.Instrument(pc.About(name="x"), pickups, positions=(position,)), "p")
    assert "4.70nF" in "".join(text for _, text in texts(tree)).replace(" ", "")
    assert any({"a: hot lead", "b: in series: other lead"} <= set(joint) for joint in found.joints())


def test_joints_of_the_first_demo():
    instrument = pc.read_job(next(p for p in DEMOS if p.stem == "bass_12")).instrument
    joints = harness(instrument, instrument.position("both")).joints()
    assert ("neck: hot lead", "neck volume: wiper") in joints
    assert ("tone: lower lug", "tone capacitor: other lead") in joints
    assert joints[-1][-1] == "jack: sleeve"
    lugs = [lug for joint in joints for lug in joint]
    assert len(lugs) == len(set(lugs))
