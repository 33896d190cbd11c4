"""Jobs made at random: read, written and read again they are the same, comments and spelling included."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import tomlkit
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pickupcalc.answers.pots.fitting import short
from pickupcalc.instrument.jobfile import parse_job, read_job
from pickupcalc.instrument.readings import Reading, recorded, written
from pickupcalc.units import parse

PREFIXES = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6}
lines = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=20)
comments = st.one_of(st.just(""), lines.map(lambda text: f"  # {text}"))


def text(value: str) -> str:
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


@st.composite
def quantities(draw, unit):
    """A positive quantity in any of the ways people write one."""
    digits, prefix = draw(st.integers(1, 9999)), draw(st.sampled_from(list(PREFIXES)))
    number = draw(st.sampled_from([f"{digits}", f"{digits / 10}", f"{digits}e1", f"{digits / 100:.2f}"]))
    assume(float(number) > 0)
    return text(f"{number}{draw(st.sampled_from(['', ' ', '  ']))}{prefix}{unit}")


@st.composite
def table(draw, kind, needed, optional):
    """A table with all its needed keys, some of the others, in any order, with comments."""
    chosen = dict(needed) | {k: v for k, v in optional.items() if draw(st.booleans())}
    rows = [f"{key} = {draw(value)}{draw(comments)}" for key, value in chosen.items()]
    return "\n".join([f"{kind}{draw(comments)}", *draw(st.permutations(rows)), *draw(st.just([""]))])


@st.composite
def trees(draw, names):
    """Wiring that joins each of the names once."""
    if len(names) == 1:
        leaf = text(names[0])
        blocked = f"{{ item = {leaf}, series_capacitor = {draw(quantities('F'))} }}"
        return draw(st.sampled_from([leaf, f"{{ reversed = {leaf} }}", blocked]))
    cut = draw(st.integers(1, len(names) - 1))
    first, second = draw(trees(names[:cut])), draw(trees(names[cut:]))
    return f"{{ {draw(st.sampled_from(['series', 'parallel']))} = [{first}, {second}] }}"


@st.composite
def jobs(draw):
    """The text of a valid job file."""
    names = draw(st.lists(lines, min_size=1, max_size=4, unique=True))
    about = {"name": lines.map(text)}
    more = {"mains": st.sampled_from(['"50 Hz"', "'60 Hz'"]), "scale_length": quantities("m")}
    parts = ["format = 1", draw(table("[instrument]", about, more))]
    share = st.floats(0, 1).map(repr)
    for name in names:
        needed = {"name": st.just(text(name)), "resistance": quantities("ohm"), "inductance": quantities("H")}
        optional = {
            "capacitance": quantities("F"),
            "magnet": st.sampled_from(['"north"', '"south"']),
            "tap": st.sampled_from(['"positive"', '"negative"']),
            "sensitivity": share,
            "owner's own": lines.map(text),  # a key not known here is kept
        }
        optional = {(k if k.isidentifier() else text(k)): v for k, v in optional.items()}
        parts.append(draw(table("[[pickup]]", needed, optional)))
    for _ in range(draw(st.integers(0, 2))):
        needed = {"kind": st.just('"tone"'), "track": quantities("ohm"), "capacitor": quantities("F")}
        tapers = st.sampled_from(['"audio"', '"linear"', "{ percent_at_half = 15 }"])
        parts.append(draw(table("[[control]]", needed, {"setting": share, "taper": tapers})))
    for i in range(draw(st.integers(0, 3))):
        some = draw(st.permutations(names))[: draw(st.integers(1, len(names)))]
        needed = {"name": st.just(text(f"no. {i}")), "wiring": st.just(draw(trees(some)))}
        parts.append(draw(table("[[position]]", needed, {"wanted": st.just('["in phase"]')})))
    return "\n".join(parts) + "\n"


@settings(max_examples=60)
@given(jobs())
def test_what_is_read_is_written_letter_by_letter(content):
    job = parse_job(content, Path("job.toml"))
    assert tomlkit.dumps(job.document) == content
    assert job.changed(lambda document: None).instrument == job.instrument


@settings(max_examples=40)
@given(jobs(), st.booleans())
def test_a_change_touches_its_own_line_only(tmp_path_factory, content, windows):
    """Line ends too stay as they were."""
    path = tmp_path_factory.mktemp("job") / "job.toml"
    path.write_bytes((content.replace("\n", "\r\n") if windows else content).encode("utf-8"))
    before = path.read_bytes().decode("utf-8")
    job = read_job(path)

    def change(document):
        document["pickup"][-1]["resistance"] = "12.5 kohm"

    saved = job.changed(change).save()
    after = path.read_bytes().decode("utf-8")
    old, new = before.splitlines(keepends=True), after.splitlines(keepends=True)
    assert len(old) == len(new)
    moved = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert len(moved) <= 1
    for a, b in moved:
        assert a.startswith("resistance = ") and b.startswith('resistance = "12.5 kohm"')
        assert a.partition("#")[2] == b.partition("#")[2]
    again = read_job(path)
    assert again.instrument == saved.instrument
    last = replace(job.instrument.pickups[-1], resistance="12.5 kohm")
    assert again.instrument.pickups == (*job.instrument.pickups[:-1], last)


@settings(max_examples=40)
@given(jobs(), st.floats(1e-3, 1e9))
def test_a_reading_is_written_and_read_back(content, ohms):
    job = parse_job(content, Path("job.toml"))
    pickup = job.instrument.pickups[0].name
    reading = Reading(quantity="resistance", pickup=pickup, value=f"{ohms:.12g} ohm", date="2026-03-31")
    again = recorded(job, [reading])
    found = again.instrument.pickups[0].resistance.m
    assert abs(found / ohms - 1) < 5.1e-4  # four digits
    assert again.readings[-1].value.m == found
    comments_before = [line.partition("#")[2] for line in content.splitlines() if "#" in line]
    kept = tomlkit.dumps(again.document)
    assert all(comment in kept for comment in comments_before)


@given(st.floats(1e-14, 1e12), st.sampled_from(["ohm", "H", "F"]))
def test_what_a_job_file_gets_is_read_back(value, symbol):
    unit = {"ohm": "ohm", "H": "henry", "F": "farad"}[symbol]
    assert abs(parse(written(value, symbol), unit) / value - 1) < 5.1e-4
    if symbol != "H":
        assert abs(parse(short(value, symbol), unit) / value - 1) < 5.1e-4
