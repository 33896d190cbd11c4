"""Positions to listen to, before anything is soldered: a WAV file, and what differs in decibels."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from pickupcalc.cli.common import add_job, add_json, as_json, listed, one_of, open_job, target
from pickupcalc.limits import LIST, whole

if TYPE_CHECKING:
    from pickupcalc.answers.sound.listening import Take
    from pickupcalc.parts.performance import Performance, Record

_PERFORMANCE = ("scene", "seconds", "stroke")
_PLUCK = ("height", "width", "angle")
_RECORD = ("rate", "level", "room", "low_pass", "gap")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_job(parser)
    parser.add_argument(
        "--position", action="append", metavar="NAME", help="may be repeated; all if left out"
    )
    parser.add_argument("--against", metavar="JOB2", help="another job file: each position before and after")
    parser.add_argument("--scene", metavar="WORD", help="strum (if left out), chord, note, scale or strings")
    parser.add_argument("--string", metavar="N", help="for a note or a scale, counted from 1 in the job file")
    parser.add_argument("--fret", metavar="N", help="of a note, a scale's first note, or all strings")
    parser.add_argument("--frets", metavar="LIST", help='one for each string, such as "0,2,2,1,0,x"')
    parser.add_argument("--seconds", metavar="TIME", help='of each position, such as "4 s"')
    parser.add_argument("--stroke", metavar="TIME", help='from string to string of a strum, such as "30 ms"')
    parser.add_argument("--pluck", metavar="LENGTH", help='where, from the bridge, such as "120 mm"')
    parser.add_argument("--height", metavar="LENGTH", help="how far a string is pulled aside")
    parser.add_argument("--width", metavar="LENGTH", help="of finger or plectrum")
    parser.add_argument("--angle", metavar="ANGLE", help='"0 deg" away from the body, "90 deg" along it')
    parser.add_argument("--rate", metavar="RATE", help='samples a second, such as "48 kHz"')
    parser.add_argument("--bits", metavar="N", default="24", help="16 or 24")
    parser.add_argument("--level", metavar="WORD", help="matched (equally loud, if left out) or true")
    parser.add_argument("--hum", action="store_true", help="with the hum of a usual room")
    parser.add_argument("--room", metavar="FIELD", help='with the hum of this field, such as "50 nT"')
    parser.add_argument("--distortion", action="store_true", help="with the bend of flux against distance")
    parser.add_argument("--low-pass", metavar="FREQUENCY", help='as a loudspeaker would, such as "5 kHz"')
    parser.add_argument("--gap", metavar="TIME", help="silence between two positions")
    parser.add_argument("-o", "--output", metavar="FILE", help="the WAV file; without it, figures only")
    add_json(parser)


def run(given: argparse.Namespace) -> str:
    from pickupcalc.answers.sound.comparison import compare
    from pickupcalc.answers.sound.heard import sound
    from pickupcalc.answers.sound.listening import BITS, listen
    from pickupcalc.answers.sound.notches import notches
    from pickupcalc.show.listening import listening_text

    path = target("--output", given.output, ".wav") if given.output else None
    performance, record, bits = _performance(given), _record(given), int(one_of("--bits", given.bits, BITS))
    chosen = _takes(given)
    sounds = [
        sound(t.instrument, t.position, fret=performance.fret, pluck=performance.pluck, label=t.label)
        for t in chosen
    ]
    against = 2 if given.against else len(chosen)  # before and after are told pair by pair
    differences = [compare(sounds[i - i % against], sounds[i]) for i in range(len(chosen)) if i % against]
    string = int(performance.string) - 1 if performance.scene in ("note", "scale") else 0
    unheard = {t.label: notches(t.instrument, t.position, string) for t in chosen}
    heard = listen(chosen, performance, record)
    content = heard.wav(bits)
    if path:
        from pickupcalc.instrument.files import write_whole

        write_whole(path, content)
    if given.json:
        document = heard.as_json() | {"file": given.output, "sounds": [s.as_json() for s in sounds]}
        document["differences"] = [d.as_json() for d in differences]
        document["notches"] = {label: [n.as_json() for n in found] for label, found in unheard.items()}
        return as_json(document)
    title = f"{chosen[0].instrument.about.name}: {performance.scene}, {record.level} level"
    if performance.frets is not None or performance.scene in ("note", "scale"):
        title += f"; the figures are for all strings at fret {performance.fret:g}"
    return listening_text(title, heard, sounds, differences, unheard, given.output)


def _takes(given: argparse.Namespace) -> list[Take]:
    from pickupcalc.answers.sound.listening import before_and_after, takes

    instrument = open_job(given.job).instrument
    if given.against:
        return before_and_after(instrument, open_job(given.against).instrument, given.position)
    return takes(instrument, given.position)


def _performance(given: argparse.Namespace) -> Performance:
    from pickupcalc.answers.sound.playing import MOST_FRETS
    from pickupcalc.parts.performance import Performance

    chosen = _named(given, _PERFORMANCE)
    for key, least, most in (("string", 1, LIST), ("fret", 0, MOST_FRETS)):
        if getattr(given, key) is not None:
            chosen[key] = whole(f"--{key}", getattr(given, key), least, most)
    if given.frets is not None:
        marks = listed(given.frets) or []
        chosen["frets"] = [m if m == "x" else whole("--frets", m, 0, MOST_FRETS) for m in marks]
    pluck = _named(given, _PLUCK)
    if given.pluck is not None:
        pluck["distance_from_bridge"] = given.pluck
    return Performance.of(chosen | {"pluck": pluck})


def _record(given: argparse.Namespace) -> Record:
    from pickupcalc.parts.performance import Record

    hum = given.hum or given.room is not None
    return Record.of(_named(given, _RECORD) | {"hum": hum, "distortion": given.distortion})


def _named(given: argparse.Namespace, keys: tuple[str, ...]) -> dict[str, Any]:
    return {key: getattr(given, key) for key in keys if getattr(given, key) is not None}
