"""Speed of what is heard, on one core, beside scipy's recursive filters in the same run.

    python tests/benchmarks/bench_sound.py

The peer makes the same partials by `scipy.signal.lfilter`, one resonator for each.
"""

from __future__ import annotations

import os

for library in ("OPENBLAS", "OMP", "MKL"):
    os.environ[f"{library}_NUM_THREADS"] = "1"  # before numpy is loaded: one core

import time  # noqa: E402
from collections.abc import Callable  # noqa: E402
from pathlib import Path  # noqa: E402

import numpy as np  # noqa: E402
from scipy.signal import lfilter  # noqa: E402

import pickupcalc as pc  # noqa: E402
from pickupcalc.answers import playing  # noqa: E402
from pickupcalc.answers.sound.rendering import render  # noqa: E402
from pickupcalc.show.sound_explorer import hear, sound_explorer  # noqa: E402

DEMO = Path(__file__).parents[2] / "data" / "baritone_5.toml"
SECONDS, RATE, WANTED = 10.0, 48_000, 50.0


def best(action: Callable[[], object], repeats: int = 5) -> float:
    """Shortest of several runs, in seconds."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return min(times)


def resonators(instrument: pc.Instrument) -> np.ndarray:
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


def agreement(instrument: pc.Instrument) -> str:
    """How far the two ways differ, where no finger and no ending fades the strum."""
    inside = slice(9 * RATE // 2, 9 * RATE)
    chord = pc.Performance(scene="chord", seconds=f"{SECONDS} s")
    ours = render(instrument, list(instrument.positions[:1]), chord, pc.Record())[0][0]
    off = np.abs(resonators(instrument)[inside] - ours[inside]).max() / np.abs(ours).max()
    return f"they differ by {off:.0e} of the peak"


def main() -> None:
    instrument = pc.read_job(DEMO).instrument
    positions = list(instrument.positions)
    plays = pc.Performance(seconds=f"{SECONDS} s")
    bent = pc.Record(distortion=True)
    count = len(positions)
    straight = best(lambda: render(instrument, positions, plays, pc.Record()))
    alone = best(lambda: render(instrument, positions[:1], plays, pc.Record()))
    curved = best(lambda: render(instrument, positions, plays, bent), 3)
    whole = best(lambda: pc.listen(pc.takes(instrument), plays).wav(), 3)
    peer = best(lambda: resonators(instrument), 1)
    times = SECONDS * count / straight
    print(f"{SECONDS:g} s strum, six strings x 60 partials x 2 directions, {RATE} Hz, one core")
    print(f"  {count} positions               {straight:7.3f} s   {times:6.0f} times real time a position")
    print(f"  one position alone        {alone:7.3f} s   {SECONDS / alone:6.0f} times real time")
    print(f"  the same by lfilter       {peer:7.3f} s   {peer / alone:6.0f} times as long")
    print(f"  ours and lfilter's        {agreement(instrument)}")
    print(
        f"  {count} positions, bent flux    {curved:7.3f} s   {SECONDS * count / curved:6.0f} times real time"
    )
    print(
        f"  {count} positions to WAV bytes  {whole:7.3f} s   {SECONDS * count / whole:6.0f} times real time"
    )
    print(f"  wanted: {WANTED:g} times real time: {'met' if times > WANTED else 'NOT MET'}")
    values = sound_explorer().values()
    new = best(lambda: hear(**values).listening._repr_html_())
    print(f"slider to new audio of three positions, 2 s each  {new:7.3f} s   (wanted: below 0.3 s)")
    report = best(lambda: pc.sound(instrument, positions[3].name), 3)
    print(f"figures of a position with their uncertainty      {report:7.3f} s")


if __name__ == "__main__":
    main()
