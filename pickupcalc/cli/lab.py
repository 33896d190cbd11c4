"""Open the notebooks in JupyterLab, or as pages without code."""

from __future__ import annotations

import argparse
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from pickupcalc.errors import Fault, InputError
from pickupcalc.limits import whole

OWN_FOLDER = "pickupcalc-notebooks"
# JupyterLab is not to ask about news or look for updates: a bench may have no network.
QUIET = [
    "--LabApp.news_url=None",
    "--LabApp.check_for_updates_class=jupyterlab.handlers.announcements.NeverCheckForUpdate",
]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--app", action="store_true", help="as pages without code, through Voila")
    parser.add_argument(
        "--folder", metavar="FOLDER", help=f"for a copy of your own ({OWN_FOLDER}, if not in the project)"
    )
    parser.add_argument("--port", metavar="N", help="where the pages are served")
    parser.add_argument("--no-browser", action="store_true", help="serve only; print the address")


def run(given: argparse.Namespace) -> str:
    wanted, extra = ("voila", "app") if given.app else ("jupyterlab", "lab")
    if find_spec(wanted) is None:
        told = f'{wanted} is not installed; install pickupcalc with its extra "{extra}"'
        raise InputError(Fault("", told))
    if given.port is not None:
        whole("--port", given.port, 1, 65_535)
    notebooks = _notebooks(given.folder)
    subprocess.run(_command(given, notebooks), check=False)
    return ""


def _notebooks(folder: str | None) -> Path:
    """The project's own notebooks when started there, else a copy in a folder of the user's own."""
    from pickupcalc.show.suite import FIRST_PAGE, copy_suite

    here = Path("notebooks")
    if folder is None and (here / FIRST_PAGE).is_file():
        return here
    target = Path(folder or OWN_FOLDER)
    for kept in copy_suite(target):
        print(f"pickupcalc: note: {kept} is yours and stays as it is", file=sys.stderr)
    return target / "notebooks"


def _command(given: argparse.Namespace, notebooks: Path) -> list[str]:
    from pickupcalc.show.suite import FIRST_PAGE

    port = [f"--port={given.port}"] if given.port else []
    quiet = ["--no-browser"] if given.no_browser else []
    if given.app:
        return [sys.executable, "-m", "voila", str(notebooks), *port, *quiet]
    page = str(notebooks / FIRST_PAGE)
    return [sys.executable, "-m", "jupyterlab", page, *QUIET, *port, *quiet]
