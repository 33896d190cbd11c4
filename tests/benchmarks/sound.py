"""What is heard, on one core, beside scipy's recursive filters: a resonator for each partial."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
from scipy.signal import lfilter

import pickupcalc as pc
from pickupcalc.answers.sound import playing
from pickupcalc.answers.sound.rendering import render
from tests.benchmarks.frame import BARITONE, FEWER, Figure, Peer, best, growth, timed

SECONDS, RATE, PARTIALS = 10.0, 48_000, 60
FASTER = 50.0  # times real time a position


def figures() -> Iterator[Figure]:
    instrument = pc.read_job(BARITONE).instrument
    positions = list(instrument.positions)
    plays = pc.Performance(seconds=f"{SECONDS} s")
    count = len(positions)

    def rendered(partials: int, record: pc.Record, many: int = count) -> Any:
        return lambda: render(instrument, positions[:many], plays, record, partials)

    plain, bent = pc.Record(), pc.Record(distortion=True)
    real = Peer("real time", SECONDS * count)
    grows = growth("partials", (15, 30, 60, 120), lambda n: rendered(n, plain))
    what = f"strum of {SECONDS:g} s, six strings"
    yield timed(
        f"{what}, {count} positions",
        rendered(PARTIALS, plain),
        peer=replace(real, at_least=FASTER),
        growth=grows,
        repeats=FEWER,
    )
    peer = Peer(f"lfilter, {_apart(instrument):.0e} apart", best(lambda: _resonators(instrument), 1))
    yield timed(f"{what}, one position", rendered(PARTIALS, plain, 1), peer=peer, repeats=FEWER)
    yield timed(f"{what}, {count} positions, bent flux", rendered(PARTIALS, bent), peer=real, repeats=FEWER)
    wav = lambda: pc.listen(pc.takes(instrument), plays).wav()  # noqa: E731
    yield timed(f"{what}, {count} positions, to WAV", wav, peer=real, repeats=FEWER)
    name = positions[3].name
    yield timed(
        "figures of a position's sound, with doubt", lambda: pc.sound(instrument, name), repeats=FEWER
    )


def _resonators(instrument: pc.Instrument) -> np.ndarray:
    """One position's strum by a recursion for each partial."""
    out = np.zeros(round(SECONDS * RATE))
    position = instrument.positions[0]
    for string in range(len(instrument.strings)):
        moving = playing.vibration(instrument, string)
        volts = playing.voltages(instrument, position, moving)
        pole = np.exp((2j * np.pi * moving.frequencies - moving.decays) / RATE)
        for a, z in zip(volts, pole, strict=True):
            impulse = np.zeros(out.size)
            impulse[0] = 1.0
            b = [a.real, -(a * np.conj(z)).real]
            out += lfilter(b, [1.0, -2 * z.real, abs(z) ** 2], impulse)
    return out


def _apart(instrument: pc.Instrument) -> float:
    """How far the two ways differ, of the peak, where no finger and no ending fades the strum."""
    inside = slice(9 * RATE // 2, 9 * RATE)
    chord = pc.Performance(scene="chord", seconds=f"{SECONDS} s")
    ours = render(instrument, list(instrument.positions[:1]), chord, pc.Record())[0][0]
    return float(np.abs(_resonators(instrument)[inside] - ours[inside]).max() / np.abs(ours).max())
