"""Run the notebooks and store them in the form the repository keeps.

    python tests/refresh_notebooks.py              run and rewrite all
    python tests/refresh_notebooks.py 03_*.ipynb   only these

What is kept: text outputs of cells that nbval compares. What is not: pictures
and widgets (cells marked NBVAL_IGNORE_OUTPUT), the order in which somebody ran
the cells, random cell ids and machine metadata, so that a diff shows only what
changed in substance.
"""

from __future__ import annotations

import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

NOTEBOOKS = Path(__file__).parents[1] / "notebooks"
METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}


def tidy(notebook: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """The stored form; applied twice it changes nothing more."""
    notebook.metadata = nbformat.from_dict(METADATA)
    run = 0
    for number, cell in enumerate(notebook.cells, 1):
        cell.id = f"cell-{number:02d}"
        cell.metadata = nbformat.from_dict({})
        if cell.cell_type == "code":
            run += 1  # nbval compares only cells that have a count
            cell.execution_count = run
            cell.outputs = [] if "NBVAL_IGNORE_OUTPUT" in cell.source else joined(cell.outputs)
            for output in cell.outputs:
                if "execution_count" in output:
                    output.execution_count = run
    return notebook


def joined(outputs: list[nbformat.NotebookNode]) -> list[nbformat.NotebookNode]:
    """Printed lines together: into how many pieces a kernel sends them is chance."""
    kept: list[nbformat.NotebookNode] = []
    for output in outputs:
        if kept and output.output_type == kept[-1].output_type == "stream" and output.name == kept[-1].name:
            kept[-1].text += output.text
        else:
            kept.append(output)
    return kept


def stored(notebook: nbformat.NotebookNode) -> str:
    return nbformat.writes(notebook, indent=1) + "\n"


def refresh(path: Path) -> None:
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(notebook, timeout=120, resources={"metadata": {"path": str(path.parent)}}).execute()
    path.write_text(stored(tidy(notebook)), encoding="utf-8")


if __name__ == "__main__":
    for pattern in sys.argv[1:] or ["*.ipynb"]:
        for path in sorted(NOTEBOOKS.glob(pattern)):
            refresh(path)
            print(path.name)
