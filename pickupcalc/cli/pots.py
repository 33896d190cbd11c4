"""Which pots and which capacitor to fit, ranked against an aim, with the tolerance of real parts.

Aims may be joined; a miss of one decibel counts like a semitone of frequency.
Without a list of parts, the tracks commonly made are tried and capacitors stay.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from pickupcalc.cli.common import add_job, add_json, as_json, listed, open_job
from pickupcalc.errors import InputError
from pickupcalc.show.progress import ProgressBar

if TYPE_CHECKING:
    from pickupcalc.answers.pots.aims import Aim
    from pickupcalc.answers.pots.candidates import Candidates
    from pickupcalc.answers.pots.ranking import Ranking
    from pickupcalc.instrument.instrument import Position
    from pickupcalc.instrument.jobfile import Job


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    aims = parser.add_argument_group("aims")
    aims.add_argument(
        "--height", nargs=2, type=float, metavar=("LOW", "HIGH"), help="a peak so many dB above 100 Hz"
    )
    aims.add_argument("--flat", action="store_true", help="maximally flat")
    aims.add_argument("--keep", action="store_true", help="the peaks JOB has now, before the changes below")
    aims.add_argument("--before", metavar="JOB2", help="with --keep: the peaks of this job file instead")
    aims.add_argument("--match", metavar="POSITION", help="the response of this position")
    aims.add_argument("--of", metavar="JOB2", help="with --match: a position of this job file")
    aims.add_argument("--tone-down", metavar="FREQUENCY", help="the second peak, tone fully down")
    aims.add_argument("--within", type=float, default=1.0, metavar="DB", help="still met, 1 if left out")
    _add_parts(parser)
    changes = parser.add_argument_group("changes made to JOB first")
    changes.add_argument("--cable-length", metavar="LENGTH", help='of another cable, such as "3 m"')
    changes.add_argument("--cable-capacitance", metavar="C", help='of another cable, such as "120 pF/m"')
    changes.add_argument("--add-tone", metavar="CAPACITOR", help="a tone control after the selector")
    study = parser.add_argument_group("how it is told")
    study.add_argument("--top", type=int, default=5, metavar="N", help="choices to look at, 5 if left out")
    study.add_argument("--samples", type=int, default=500, metavar="N", help="instruments drawn, usually 500")
    study.add_argument("--seed", type=int, default=1, metavar="N", help="same seed, same parts; usually 1")
    study.add_argument("--save", type=int, metavar="RANK", help="write this choice and the changes into JOB")
    study.add_argument("--with-bypass", action="store_true", help="with --save: its bypass parts too")
    add_json(study)


def _add_parts(parser: argparse.ArgumentParser) -> None:
    parts = parser.add_argument_group("parts and positions")
    parts.add_argument("--position", action="append", metavar="NAME", help="may be repeated; all if left out")
    parts.add_argument("--tracks", metavar="LIST", help='such as "250k, 500k"')
    parts.add_argument("--capacitors", metavar="LIST", help='such as "22n, 47n"')
    parts.add_argument("--drawer", action="store_true", help="pieces listed in JOB under [drawer], each once")
    parts.add_argument("--across", action="store_true", help="also with resistors across the tracks")
    parts.add_argument(
        "--track-tolerance", type=float, metavar="PERCENT", help="of made tracks, 20 if left out"
    )


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.pots.drawer_tricks import against_marking
    from pickupcalc.answers.pots.fitting import changed_job
    from pickupcalc.answers.pots.judging import Study
    from pickupcalc.answers.pots.ranking import rank

    today = open_job(given.job)
    job = changed_job(
        today,
        cable_length=given.cable_length,
        cable_capacitance=given.cable_capacitance,
        tone_capacitor=given.add_tone,
    )
    instrument = job.instrument
    positions = [instrument.position(name) for name in given.position or ()] or list(instrument.positions)
    aims = _aims(given, today)
    with ProgressBar() as bar:
        ranking = rank(
            _candidates(given, job, positions),
            aims,
            positions,
            top=given.top,
            study=Study(within=given.within, samples=given.samples, seed=given.seed),
            progress=bar.show,
        )
    if given.save is not None:
        _save(job, ranking, given.save, given.with_bypass)
    pieces = job.drawer.tracks if given.drawer else ()
    markings = [told for p in positions for told in against_marking(instrument, p, pieces)]
    if given.json:
        return as_json(ranking.as_json() | {"markings": [told.as_json() for told in markings]})
    from pickupcalc.show.pots import ranking_text

    saved = f"\nChoice {given.save} is written into {given.job}." if given.save is not None else ""
    return "\n".join([ranking_text(ranking), *(told.sentence for told in markings)]) + saved


def _aims(given: argparse.Namespace, today: Job) -> list[Aim]:
    from pickupcalc.answers.pots.aims import Flat, Height, Keep, Match, ToneDown

    if given.with_bypass and given.save is None:
        raise InputError.of("--with-bypass", "goes with --save")
    for needed, extra in (("keep", "before"), ("match", "of")):
        if getattr(given, extra) is not None and not getattr(given, needed):
            raise InputError.of(f"--{extra}", f"goes with --{needed}")
    aims: list[Aim] = []
    if given.height:
        aims.append(Height(*given.height))
    if given.flat:
        aims.append(Flat())
    if given.keep:
        aims.append(Keep.of(open_job(given.before).instrument if given.before else today.instrument))
    if given.match:
        aims.append(Match.of(open_job(given.of).instrument if given.of else today.instrument, given.match))
    if given.tone_down:
        aims.append(ToneDown(given.tone_down))
    if not aims:
        options = "--height LOW HIGH, --flat, --keep, --match POSITION, --tone-down FREQUENCY"
        raise InputError.of("", f"what are the pots to do? Say one or more of {options}")
    return aims


def _candidates(given: argparse.Namespace, job: Job, positions: list[Position]) -> Candidates:
    from pickupcalc.answers.pots.candidates import from_drawer, made, usual_capacitors

    if given.drawer:
        for key in ("tracks", "capacitors", "track_tolerance"):
            if getattr(given, key) is not None:
                raise InputError.of(f"--{key.replace('_', '-')}", "does not go with --drawer")
        return from_drawer(job.instrument, positions, job.drawer, across=given.across)
    percent = given.track_tolerance
    if percent is not None and not 0 < percent < 100:
        raise InputError.of("--track-tolerance", f"{percent:g} is not between 0 and 100")
    capacitors: Any = listed(given.capacitors)
    if capacitors is None and given.tone_down:
        capacitors = usual_capacitors()
    return made(
        job.instrument,
        positions,
        tracks=listed(given.tracks),
        capacitors=capacitors,
        across=given.across,
        track_fraction=None if percent is None else percent / 100,
    )


def _save(job: Job, ranking: Ranking, number: int, with_bypass: bool) -> None:
    from pickupcalc.answers.pots.fitting import into_job

    if not 1 <= number <= len(ranking.choices):
        raise InputError.of("--save", f"{number} is not one of the ranks 1 to {len(ranking.choices)}")
    choice = ranking.choices[number - 1]
    best = choice.bypass.best if with_bypass and choice.bypass else None
    into_job(job, choice.fitted, best.bypass if best else None).save()
