"""Hum before and after a repair, from recordings.

Give one pair of WAV files a position, before and after, or a single file to look
at. Record with the same gain, the instrument in the same place and turned the
same way, strings damped, at least six seconds.
"""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

from pickupcalc.cli.common import add_json, as_json, open_job
from pickupcalc.errors import Fault, InputError
from pickupcalc.limits import whole
from pickupcalc.show.progress import ProgressBar

if TYPE_CHECKING:
    from pickupcalc.answers.measurement.hum_change import Comparison
    from pickupcalc.answers.measurement.hum_recording import Hum


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("recordings", nargs="+", metavar="BEFORE.wav AFTER.wav", help="pairs of WAV files")
    parser.add_argument(
        "--position", action="append", default=[], metavar="NAME", help="name of a pair, in their order"
    )
    parser.add_argument("--channel", default="1", metavar="N", help="channel of the files, 1 if left out")
    parser.add_argument("--skip", default="0 s", metavar="TIME", help="leave out so much of each one's start")
    parser.add_argument("--seconds", metavar="TIME", help='use only so much of each, such as "20 s"')
    parser.add_argument(
        "--mains", default="50 Hz", metavar="F", help="where no line stands out, 50 Hz if left out"
    )
    parser.add_argument("--same-gain", action="store_true", help="same gain though the noise moved")
    parser.add_argument("--job", metavar="JOB", help="also write the changes into this job file")
    parser.add_argument("--date", help="for the job file, today if left out")
    add_json(parser)


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.measurement.hum_change import compare
    from pickupcalc.answers.measurement.hum_recording import hum_of
    from pickupcalc.parts.recording import MOST_CHANNELS

    files, names = given.recordings, given.position
    if len(files) > 1 and len(files) % 2:
        told = f"{len(files)} recordings are no pairs; give one before and one after each"
        raise InputError(Fault("", told))
    if given.job and not (names and len(files) > 1):
        told = "needs a pair of recordings and its --position: the job file is to know what was recorded"
        raise InputError.of("--job", told)
    if names and len(names) != len(files) // 2:
        raise InputError.of("--position", f"{len(names)} names for {len(files) // 2} pairs of recordings")
    channel = whole("--channel", given.channel, 1, MOST_CHANNELS)
    hums: list[Hum] = []
    with ProgressBar() as bar:
        for i, path in enumerate(files):
            span = {"skip": given.skip, "seconds": given.seconds}
            assumed = hums[-1].mains if i % 2 else given.mains
            part = partial(_show_share, bar, i, len(files))
            hums.append(hum_of(path, channel=channel, mains=assumed, progress=part, **span))
    if len(hums) == 1:
        return as_json({"format": 1, "recordings": [hums[0].as_json()]}) if given.json else _hum_text(hums[0])
    names = names or [f"pair {i + 1}" for i in range(len(files) // 2)]
    pairs = [
        compare(hums[2 * i], hums[2 * i + 1], position=name, same_gain=given.same_gain)
        for i, name in enumerate(names)
    ]
    if given.job:
        _record(given, pairs)
    if given.json:
        return as_json({"format": 1, "pairs": [p.as_json() for p in pairs]})
    return "\n\n".join(_pair_text(p) for p in pairs)


def _show_share(bar: ProgressBar, index: int, files: int, share: float) -> None:
    bar.show(round(100 * (index + share)), 100 * files)


def _hum_text(hum: Hum) -> str:
    exact = "" if hum.mains_deviation is None else f" ±{2 * hum.mains_deviation.m:.3f}"
    lines = [
        f"{hum.path}, {hum.seconds:.0f} s; levels in dB, a full-scale sine being 0",
        f"mains {hum.mains.m:.3f}{exact} Hz",
        f"hum {_levels(hum)}; noise between the lines {hum.floor_db:.1f} dB, {hum.floor_a_db:.1f} dB(A)",
    ]
    loud = sorted((x for x in hum.lines if x.clear), key=lambda x: -x.level_db)[:6]
    if loud:
        lines.append("loudest: " + ", ".join(f"{x.frequency.m:.0f} Hz {x.level_db:.1f} dB" for x in loud))
    return "\n".join([*lines, *hum.notes])


def _levels(hum: Hum) -> str:
    below = "below " if hum.power.lost else ""
    return f"{below}{hum.level_db:.1f} dB, {below}{hum.level_a_db:.1f} dB(A)"


def _pair_text(pair: Comparison) -> str:
    before, after = pair.before, pair.after
    return "\n".join(
        [
            f"Position {pair.position}: hum {pair.change}; as heard (A) {pair.change_a}",
            f"  before {_levels(before)}, mains {before.mains.m:.2f} Hz",
            f"  after  {_levels(after)}, mains {after.mains.m:.2f} Hz",
            f"  noise between the lines {pair.floor_change_db:+.1f} dB, which a repair leaves alone",
            "  The interval covers what moved while recording, not an instrument held otherwise.",
            *(f"  {note}" for note in (*before.notes, *after.notes)),
        ]
    )


def _record(given: argparse.Namespace, pairs: list[Comparison]) -> None:
    from pickupcalc.answers.measurement.hum_change import proof
    from pickupcalc.instrument.readings import recorded

    recorded(open_job(given.job), [proof(p, given.date) for p in pairs]).save()
