import pickle
from pathlib import Path

import numpy as np
import pytest

from pickupcalc.errors import InputError
from pickupcalc.parts.impedance_file import read_csv, read_touchstone, write_csv, write_touchstone
from pickupcalc.physics.measuring.impedance import pickup_impedance

HERTZ = np.geomspace(50, 20e3, 40)
Z = pickup_impedance(2 * np.pi * HERTZ, 6100, 2.45, 110e-12, 1.2e6)


def table(header, columns, delimiter=",", shown="{:.6f}"):
    rows = [delimiter.join(shown.format(v) for v in row) for row in zip(*columns, strict=True)]
    return "\n".join([header, *rows]) + "\n"


HEADERS = {
    "frequency_hz,magnitude_ohm,phase_deg": (1, 1, 180 / np.pi, ","),
    "f (kHz);|Z| (kohm);phase (rad)": (1e-3, 1e-3, 1, ";"),
    "Frequency [Hz]\tImpedance [Ω]\tAngle [°]": (1, 1, 180 / np.pi, "\t"),
    "# a remark\nf_hz,z_kΩ,arg_deg": (1, 1e-3, 180 / np.pi, ","),
    "freq,mag_ohm,phase": (1, 1, 180 / np.pi, ","),
}


@pytest.mark.parametrize("header", HEADERS)
def test_headers_tell_the_units(tmp_path, header):
    f, size, angle, delimiter = HEADERS[header]
    columns = (HERTZ * f, np.abs(Z) * size, np.angle(Z) * angle)
    (tmp_path / "a.csv").write_text(table(header, columns, delimiter, "{:.9g}"), encoding="utf-8")
    found = read_csv(tmp_path / "a.csv")
    assert found.kind == "ohm"
    np.testing.assert_allclose(found.value, Z, rtol=1e-5)
    np.testing.assert_allclose(found.frequency, HERTZ, rtol=1e-8)


def test_two_channels_become_a_ratio(tmp_path):
    ratio = Z / 1e4
    columns = (HERTZ, np.abs(ratio) * 200, np.degrees(np.angle(ratio)) + 5, 0 * HERTZ + 200, 0 * HERTZ + 5)
    header = "f_hz,pickup (mV),phase (deg),resistor (mV),phase (deg)"
    (tmp_path / "a.csv").write_text(table(header, columns, shown="{:.9g}"))
    found = read_csv(tmp_path / "a.csv")
    assert found.kind == "ratio"
    np.testing.assert_allclose(found.value, ratio, rtol=1e-6)


def test_decibels_are_of_an_amplitude(tmp_path):
    columns = (HERTZ, 20 * np.log10(np.abs(Z / 1e4)), np.degrees(np.angle(Z)))
    (tmp_path / "a.csv").write_text(table("f_hz,ratio_db,phase_deg", columns, shown="{:.9g}"))
    found = read_csv(tmp_path / "a.csv")
    assert found.kind == "ratio"
    np.testing.assert_allclose(found.value, Z / 1e4, rtol=1e-6)


def test_what_is_written_is_read(tmp_path):
    write_csv(tmp_path / "a.csv", HERTZ, Z)
    np.testing.assert_allclose(read_csv(tmp_path / "a.csv").value, Z, rtol=1e-5)


GOOD = table("f_hz,z_ohm,phase_deg", (HERTZ, np.abs(Z), np.degrees(np.angle(Z))))
LINES = GOOD.splitlines()
BAD = {
    "empty": ("", "is empty"),
    "no header": ("\n".join(LINES[1:]), "header with names and units is missing"),
    "decimal commas": (GOOD.replace(".", ","), "commas as decimal separators"),
    "decimal commas, semicolons": (GOOD.replace(",", ";").replace(".", ","), "commas as decimal separators"),
    "out of order": ("\n".join([LINES[0], LINES[5], LINES[4], *LINES[6:]]), "line 3: .* is out of order"),
    "twice the same": ("\n".join([*LINES[:5], LINES[4], *LINES[5:]]), "line 6: .* is out of order"),
    "zero hertz": ("\n".join([LINES[0], "0,6100,0", *LINES[1:]]), "line 2: 0 Hz is not above zero"),
    "NaN": ("\n".join([*LINES[:5], "60,nan,3", *LINES[5:]]), "line 6: holds a value that is not finite"),
    "a word": ("\n".join([*LINES[:5], "60,high,3", *LINES[5:]]), "line 6: 'high' is not a number"),
    "a column short": ("\n".join([*LINES[:5], "60,6100", *LINES[5:]]), "line 6: has 2 columns"),
    "two columns": ("f_hz,z_ohm\n1,2\n", "has 2 columns"),
    "four columns": ("f_hz,z_ohm,phase_deg,more\n1,2,3,4\n", "has 4 columns"),
    "two columns behind remarks": ("# one\n# two\nf_hz,z_ohm\n1,2\n", "line 3: has 2 columns"),
    "exchanged behind a remark": ("# one\n" + GOOD.replace("f_hz,z_ohm", "z_ohm,f_hz"), "line 2: column"),
    "an impedance beside a channel": (
        table("f_hz,a_v,phase,b_ohm,phase", [HERTZ] * 5),
        "line 1: has two channels and an impedance",
    ),
    "few rows": ("\n".join(LINES[:4]), "has 3 rows"),
    "columns exchanged": (GOOD.replace("f_hz,z_ohm", "z_ohm,f_hz"), "is out of place"),
    "unknown unit": (GOOD.replace("f_hz", "f (rpm)"), "unit 'rpm'"),
    "zero magnitude": ("\n".join([*LINES[:-1], "20000,0,0"]), "zero or not finite"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_tables_are_refused_with_file_and_line(tmp_path, case):
    content, told = BAD[case]
    (tmp_path / "bad.csv").write_text(content)
    with pytest.raises(InputError, match=told) as caught:
        read_csv(tmp_path / "bad.csv")
    assert "bad.csv" in str(caught.value)


def test_binary_named_csv_is_refused(tmp_path):
    (tmp_path / "bad.csv").write_bytes(b"\xff\xfe\x00\x80")
    with pytest.raises(InputError, match="is not text in UTF-8"):
        read_csv(tmp_path / "bad.csv")


def test_a_cell_beyond_all_measure(tmp_path):
    (tmp_path / "bad.csv").write_text(GOOD + '"' + "1" * 200_000 + '",2,3\n')
    with pytest.raises(InputError, match="cannot be parted into columns"):
        read_csv(tmp_path / "bad.csv")


def test_lines_may_end_as_on_any_system(tmp_path):
    for end in ("\n", "\r\n", "\r"):
        (tmp_path / "a.csv").write_bytes(GOOD.replace("\n", end).encode())
        assert read_csv(tmp_path / "a.csv").frequency.size == HERTZ.size


class Trap:
    """Runs code when it is unpickled."""

    def __init__(self, path):
        self.path = path

    def __reduce__(self):
        return Path.touch, (self.path,)


@pytest.mark.parametrize("protocol", [0, 2])
def test_nothing_is_unpickled(tmp_path, protocol):
    """The library that reads one-ports would unpickle a file that it is given by name."""
    pytest.importorskip("skrf")
    (tmp_path / "bad.s1p").write_bytes(pickle.dumps(Trap(tmp_path / "ran"), protocol))
    with pytest.raises(InputError, match=r"bad\.s1p"):
        read_touchstone(tmp_path / "bad.s1p")
    assert not (tmp_path / "ran").exists()


def test_text_named_touchstone_is_refused(tmp_path):
    pytest.importorskip("skrf")
    (tmp_path / "bad.s1p").write_text("nothing of the kind\n")
    with pytest.raises(InputError, match=r"bad\.s1p"):
        read_touchstone(tmp_path / "bad.s1p")


def test_a_touchstone_file_needs_its_ending(tmp_path):
    pytest.importorskip("skrf")
    with pytest.raises(InputError, match=r"must end in \.s1p"):
        write_touchstone(tmp_path / "a.txt", HERTZ, Z)
