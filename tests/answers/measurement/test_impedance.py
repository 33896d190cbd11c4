import numpy as np
import pytest

from pickupcalc.answers.measurement.field_coil import field_response
from pickupcalc.answers.measurement.impedance import measure
from pickupcalc.answers.measurement.rehearsal import sweep_recording
from pickupcalc.answers.measurement.sound_card import Bench, calibrate
from pickupcalc.errors import InputError
from pickupcalc.parts.recording import write_recording

PLAIN = (6100.0, 2.45, 110e-12, 1.2e6)
IRON = (7400.0, 2.6, 105e-12, 8e5, 1.0, 6e4)
NAMES = ("resistance", "inductance", "capacitance", "loss_resistance")


def bench_of(tolerance=0.01, resistor="10 kohm", **more):
    return Bench(resistor=resistor, resistor_tolerance=tolerance, **more)


@pytest.fixture
def recorded(tmp_path):
    def write(parts=PLAIN, bench=None, name="sweep", change=lambda x: x, **more):
        made = {"seconds": 2.0, **more}
        samples = sweep_recording(parts, bench or bench_of(), **made)
        write_recording(tmp_path / f"{name}.wav", change(samples), made.get("rate", 48_000), 24)
        return tmp_path / f"{name}.wav"

    return write


def off(found, parts=PLAIN):
    return {k: abs(np.log(found.figures[k].value.m / v)) for k, v in zip(NAMES, parts, strict=True)}


@pytest.mark.parametrize(
    "channels", [("pickup", "resistor"), ("resistor", "pickup"), ("pickup", "both"), ("both", "pickup"),
                 ("both", "resistor"), ("resistor", "both")],
)  # fmt: skip
def test_any_two_of_three_voltages_will_do(recorded, channels):
    bench = bench_of(0.0, channels=channels)
    found = measure(recorded(bench=bench), bench)
    assert max(off(found).values()) < 0.01
    assert found.calibration is None


def test_what_hangs_on_the_pickup_is_taken_off(recorded):
    bench = bench_of(0.0, input_resistance="1 Mohm", input_capacitance="80 pF")
    found = measure(recorded(bench=bench), bench)
    assert max(off(found).values()) < 0.01
    bare = measure(recorded(bench=bench), bench_of())
    assert bare.figures["capacitance"].value.m == pytest.approx(190e-12, rel=0.01)


def test_iron_is_fitted_where_it_shows(recorded):
    found = measure(recorded(IRON), bench_of(0.0))
    assert found.figures["inductance"].value.m == pytest.approx(3.6, rel=0.01)
    assert found.figures["iron_resistance"].value.m == pytest.approx(6e4, rel=0.05)
    inductances = [henry for _, henry in found.inductance_at]
    assert inductances == sorted(inductances, reverse=True)
    assert "iron_resistance" not in measure(recorded(PLAIN), bench_of()).figures


def test_gain_and_delay_are_put_right(recorded):
    bench = bench_of(0.0)
    uneven = {"gain": 1.07, "delay": 8e-6}
    calibration = calibrate(recorded((10e3,), name="known", **uneven), bench, "10 kohm")
    assert calibration.gain == pytest.approx(1.07, rel=1e-3)
    assert calibration.delay == pytest.approx(8e-6, rel=1e-2)
    path = recorded(**uneven)
    assert max(off(measure(path, bench, calibration)).values()) < 0.01
    with pytest.raises(InputError, match="calibrate"):
        measure(path, bench)


def test_mains_in_the_pickup_does_not_disturb(recorded):
    found = measure(recorded(mains=0.03), bench_of(0.0))
    for name, distance in off(found).items():
        assert distance < found.figures[name].fraction


def test_intervals_hold_with_what_is_known_of_the_bench(recorded):
    found = measure(recorded(bench=bench_of(resistor="10.05 kohm")), bench_of(0.01))
    for name, distance in off(found).items():
        assert distance < found.figures[name].fraction
    assert found.dominated_by["inductance"] == "the channels' gain"


def test_z_lies_within_its_error_bars(recorded):
    from pickupcalc.physics.measuring.impedance import pickup_impedance

    found = measure(recorded(noise=5e-4), bench_of())
    true = pickup_impedance(2 * np.pi * found.frequency.m, *PLAIN)
    pull = np.abs(found.impedance / true - 1) / found.deviation
    assert np.mean(pull < 2.45) > 0.9  # two components: 95 of 100 within 2.45 standard deviations


REFUSED = {
    "mono": ({"change": lambda x: x[:, :1]}, "has 1 channel"),
    "three channels": ({"change": lambda x: x[:, [0, 1, 1]]}, "has 3 channels"),
    "too low a rate": ({"rate": 22_050}, "22050 samples per second"),
    "clipped": ({"change": lambda x: np.clip(8 * x, -1, 1)}, "channel 1 is clipped"),
    "clipped before the converter": ({"change": lambda x: np.clip(x, -0.18, 0.18)}, "its tops are flat"),
    "one input only": ({"change": lambda x: x[:, [0, 0]]}, "the same in both channels"),
    "a silent channel": ({"change": lambda x: x * [1, 0]}, "channel 2 is silent"),
    "too little level": ({"level": 1e-4, "noise": 0.0}, "too little level"),
    "noise above the sweep": ({"noise": 0.05, "level": 0.02}, "too little"),
    "mains above all": ({"mains": 0.7, "level": 0.02}, "mains pickup"),
    "exchanged": ({"change": lambda x: x[:, ::-1]}, "channels are exchanged"),
    "inverted": ({"change": lambda x: x * [1, -1]}, "a channel is inverted"),
    "too short": ({"seconds": 0.1}, "at least 1 s"),
    "no sweep": ({"change": lambda x: np.zeros_like(x)}, "is silent"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_trusted_is_refused_with_the_reason(recorded, case):
    made, told = REFUSED[case]
    with pytest.raises(InputError, match=told) as caught:
        measure(recorded(**made), bench_of())
    assert "sweep.wav" in str(caught.value)


def test_a_curve_that_is_no_pickup_is_refused(tmp_path):
    f = np.geomspace(20, 20e3, 60)
    z = 5e3 + 2j * np.pi * f * 2 * (1 + 0.8 * np.sin(20 * np.log(f)))
    rows = [f"{a},{abs(b)},{np.degrees(np.angle(b))}" for a, b in zip(f, z, strict=True)]
    (tmp_path / "odd.csv").write_text("f_hz,z_ohm,phase_deg\n" + "\n".join(rows))
    with pytest.raises(InputError, match="no pickup's curve"):
        measure(tmp_path / "odd.csv")


def test_a_calibration_without_a_resistor_is_refused(recorded):
    with pytest.raises(InputError, match="differs from a resistor"):
        calibrate(recorded(), bench_of(), "10 kohm")


def test_a_field_coil_gives_the_peak_of_the_prediction(tmp_path):
    from pathlib import Path

    from pickupcalc.answers.response import response
    from pickupcalc.instrument.jobfile import read_job
    from pickupcalc.physics.measuring.sweeps import exponential_sweep
    from pickupcalc.units import quantity

    bass = read_job(Path(__file__).parents[3] / "data" / "bass_12.toml").instrument
    played = exponential_sweep(4, 48_000, level=0.2)
    hertz = np.maximum(np.fft.rfftfreq(played.size, 1 / 48_000), 0.1)
    inside = np.geomspace(0.1, 24e3, 3000)
    h = response(bass, "neck", quantity(inside, "hertz")).voltage
    h = np.interp(hertz, inside, h.real) + 1j * np.interp(hertz, inside, h.imag)
    jack = np.fft.irfft(np.fft.rfft(played) * 1j * hertz / 4000 * h, played.size)
    samples = np.stack([jack, played], axis=1) + 1e-5 * np.random.default_rng(1).normal(size=(played.size, 2))
    write_recording(tmp_path / "jack.wav", samples, 48_000, 24)
    found = field_response(tmp_path / "jack.wav", bass, "neck")
    assert found.off_db < 0.1
    assert found.peak_frequency.m == pytest.approx(
        inside[
            np.argmax(
                np.abs(
                    np.interp(inside, inside, abs(response(bass, "neck", quantity(inside, "hertz")).voltage))
                )
            )
        ],
        rel=0.01,
    )


def test_four_parts_stand_for_six_in_the_job_file(recorded):
    found = measure(recorded(IRON), bench_of(0.0))
    assert set(found.four) == set(NAMES)
    assert found.four["loss_resistance"].value.m < found.figures["loss_resistance"].value.m
    assert found.four["inductance"].value.m == pytest.approx(found.figures["inductance"].value.m, rel=0.15)


def test_a_bench_wants_units():
    with pytest.raises(InputError, match="no unit"):
        Bench(resistor=10e3)
    with pytest.raises(InputError, match="two different"):
        bench_of(channels=("pickup", "pickup"))


@pytest.mark.parametrize(("sign", "told"), [(-1, "a negative resistance"), (1, "a capacitor")])
def test_a_file_of_impedances_has_no_channels_to_blame(tmp_path, sign, told):
    hertz = np.geomspace(50, 20e3, 60)
    z = 6e3 - 1j / (2 * np.pi * hertz * 10e-9)
    path = tmp_path / "curve.csv"
    rows = "\n".join(
        f"{f:.6g},{abs(v):.6g},{np.angle(v, deg=True):.6g}" for f, v in zip(hertz, sign * z, strict=True)
    )
    path.write_text(f"frequency_hz,magnitude_ohm,phase_deg\n{rows}\n")
    with pytest.raises(InputError, match=f"{told}.*: no pickup does that, look at the file"):
        measure(path)
