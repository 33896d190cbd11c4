"""The command line: one module a command, each with `add_arguments` and `run`.

Exit status 0; 2 for input that was refused, with one message on standard error
and nothing on standard output; 1 for a fault of ours.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

from pickupcalc import __version__
from pickupcalc.cli.common import as_asked
from pickupcalc.errors import Fault, InputError

COMMANDS = (
    "new", "sheet", "response", "coil", "jack", "record", "measure", "plan", "pots", "hum", "listen",
    "netlist", "status", "lab",
)  # fmt: skip


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise InputError(Fault("", f"{message}; see: {self.prog} --help"))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit status."""
    chosen = argparse.Namespace()
    try:
        chosen = _parser().parse_args(arguments)
        text = import_module(f"{__name__}.{chosen.command}").run(chosen)
        if text:
            print(text)
            sys.stdout.flush()
    except InputError as error:
        print(f"pickupcalc: {as_asked(error, chosen)}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        if os.environ.get("PICKUPCALC_TRACEBACK"):
            raise
        told = f"a fault of ours: {type(error).__name__}: {error}"
        print(f"pickupcalc: {told}; PICKUPCALC_TRACEBACK=1 shows where", file=sys.stderr)
        return 1
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="pickupcalc", description="Magnetic pickups: measure, predict, change, prove.")
    parser.add_argument("--version", action="version", version=f"pickupcalc {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name in COMMANDS:
        module = import_module(f"{__name__}.{name}")
        about = module.__doc__ or ""
        summary = about.partition("\n")[0].rstrip(".")
        module.add_arguments(commands.add_parser(name, help=summary, description=about))
    return parser
