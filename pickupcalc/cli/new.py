"""Start a job: asks for the little it needs and writes a commented job file."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pickupcalc.cli.common import called
from pickupcalc.errors import Fault, InputError
from pickupcalc.limits import whole

MOST_PICKUPS = 8


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", metavar="FOLDER", help="a folder for the job, made if it is not there")


def run(given: argparse.Namespace) -> str:
    from pickupcalc.instrument.starting import Start, start_job
    from pickupcalc.parts.controls import Control
    from pickupcalc.parts.load import Load

    folder = Path(given.folder)
    if (folder / "job.toml").exists():
        raise InputError(Fault("", "has a job file already; choose another"), str(folder))
    name = _ask("what is the instrument called", check=_name)
    mains = _ask("mains frequency", "50 Hz", check=_mains)
    count = int(_ask("how many pickups (each coil of a twin-coil pickup counts)", "2", check=_count))
    coils = [_coil(number, count) for number in range(1, count + 1)]
    track = _checker(lambda text: Control.check("track", text))
    job = start_job(
        folder,
        Start(
            name=name,
            mains=mains,
            coils=coils,
            volume=_ask("volume track, or none", "250 kohm", check=_unless_none(track)),
            tone=_ask("tone track, or none", "250 kohm", check=_unless_none(track)),
            cable_length=_ask("cable length", "3 m", check=_checker(lambda t: Load.check("cable_length", t))),
        ),
    )
    return f"{job.path} is there. Next: {called('sheet', str(folder))}"


def _coil(number: int, count: int) -> Any:
    from pickupcalc.instrument.starting import Coil
    from pickupcalc.parts.pickup import Pickup

    def reading(key: str) -> Callable[[str], str]:
        return _checker(lambda text: Pickup.check(key, text))

    usual = {1: ["only"], 2: ["neck", "bridge"], 3: ["neck", "middle", "bridge"]}.get(count, [])
    name = _ask(f"pickup {number}: name", usual[number - 1] if usual else f"coil {number}", check=_name)
    return Coil(
        name=name,
        resistance=_ask(f"{name}: resistance, such as 6.1 kohm", check=reading("resistance")),
        inductance=_ask(f"{name}: inductance, such as 2.4 H", check=reading("inductance")),
        magnet=_ask(
            f"{name}: pole facing the strings, north or south", "", check=_or_empty(reading("magnet"))
        ),
        tap=_ask(f"{name}: tap, positive or negative", "", check=_or_empty(reading("tap"))),
    )


def _ask(question: str, usual: str | None = None, *, check: Callable[[str], Any]) -> Any:
    """Ask until the answer is accepted; what is wrong with one is said at once.

    Questions go to standard error, so that standard output holds the result alone.
    """
    while True:
        hint = {None: "", "": " [not known yet]"}.get(usual, f" [{usual}]")
        print(f"{question}{hint}: ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            raise InputError.of("", "the answers ended early; nothing was written")
        answer = line.strip() or (usual or "")
        try:
            return check(answer)
        except InputError as error:
            print(f"  {error}", file=sys.stderr)


def _checker(check: Callable[[str], Any]) -> Callable[[str], str]:
    def same(text: str) -> str:
        check(text)
        return text

    return same


def _name(text: str) -> str:
    from pickupcalc.parts.fields import check_name

    return check_name(text)


def _mains(text: str) -> str:
    from pickupcalc.instrument.instrument import About

    return About.check("mains", text)


def _count(text: str) -> str:
    return str(whole("", text, 1, MOST_PICKUPS))


def _or_empty(check: Callable[[str], str]) -> Callable[[str], str | None]:
    return lambda text: check(text) if text else None


def _unless_none(check: Callable[[str], str]) -> Callable[[str], str | None]:
    return lambda text: None if text == "none" else check(text)
