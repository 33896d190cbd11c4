"""Open the notebooks in JupyterLab."""

from __future__ import annotations

import argparse
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from pickupcalc.errors import Fault, InputError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--folder", default="notebooks", help="where the notebooks are")


def run(given: argparse.Namespace) -> str:
    if find_spec("jupyterlab") is None:
        raise InputError(Fault("", 'JupyterLab is not installed; install pickupcalc with its extra "lab"'))
    if not any(Path(given.folder).glob("*.ipynb")):
        raise InputError.of(
            "--folder", f'"{given.folder}" has no notebooks; start in the folder of the project'
        )
    subprocess.run([sys.executable, "-m", "jupyterlab", given.folder], check=False)
    return ""
