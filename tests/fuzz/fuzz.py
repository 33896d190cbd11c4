"""Coverage-guided fuzzing of one target: python tests/fuzz/fuzz.py TARGET CORPUS [libFuzzer's options].

Needs atheris, which is no dependency. CORPUS is a folder of its own for what is
found on the way; the demonstrations and the kept cases are its first inputs.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
import traceback
from pathlib import Path

import atheris

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

with atheris.instrument_imports(include=["pickupcalc", "tomlkit", "skrf"]):
    from tests.fuzz.targets import TARGETS, drive

# Whole values that a mutation of single bytes would take long to find.
NASTY = (Path(__file__).parent / "values.txt").read_text().splitlines()


def mutated(data: bytes, most: int, seed: int) -> bytes:
    """Half of the time another value, a line left out or doubled; else what libFuzzer likes."""
    chance = random.Random(seed)
    lines = data.decode("utf-8", errors="replace").split("\n")
    if chance.random() < 0.5 or len(lines) < 3:
        return atheris.Mutate(data, most)
    i = chance.randrange(len(lines))
    action = chance.randrange(4)
    if action == 0:
        del lines[i]
    elif action == 1:
        lines.insert(chance.randrange(len(lines)), lines[i])
    else:
        values = list(re.finditer(r'"[^"]*"|[0-9][0-9.e+-]*', lines[i])) or [re.match("", lines[i])]
        old = chance.choice(values)
        lines[i] = lines[i][: old.start()] + chance.choice(NASTY) + lines[i][old.end() :]
    return "\n".join(lines).encode("utf-8")[:most]


def seeds(name: str) -> list[bytes]:
    ending = TARGETS[name][0]
    data = ROOT / "data"
    kept = Path(__file__).parent / "corpus"
    found = {
        "job": [*data.glob("*.toml"), *kept.glob("sheet/*")],
        "sheet": [*data.glob("*.toml")],
        "coil": [*data.glob("coils/*.toml"), *data.glob("*.toml")],
        "henries": [*data.glob("coils/*.toml"), *kept.glob("coil/*")],
        "table": [*data.glob("recordings/*.csv")],
        "recording": [*data.glob("recordings/*.wav")],
        "hum": [*data.glob("recordings/*.wav")],
    }.get(name, [])
    found += kept.glob(f"{name}/*")
    cut = 2_000 if ending == ".wav" else None
    return [path.read_bytes()[:cut] for path in found]


def kept(error: Exception, content: bytes, where: Path, known: set[tuple[str, ...]]) -> None:
    """Write the first content that fails in each way beside the corpus, and go on."""
    frames = [f"{Path(f.filename).name}:{f.lineno}" for f in traceback.extract_tb(error.__traceback__)]
    kind = (type(error).__name__, *frames[-3:])
    if kind not in known:
        known.add(kind)
        where.with_name(f"{where.name}_fault_{len(known)}").write_bytes(content)
        print(f"FAULT {len(known)}: {' '.join(kind)}: {error}", flush=True)


def main() -> None:
    name, corpus = sys.argv[1], Path(sys.argv[2])
    corpus.mkdir(parents=True, exist_ok=True)
    for i, content in enumerate(seeds(name)):
        (corpus / f"seed_{i}").write_bytes(content)
    options = [sys.argv[0], str(corpus), f"-artifact_prefix={corpus.parent}/{name}_", *sys.argv[3:]]
    more = {"custom_mutator": mutated} if TARGETS[name][0] in (".toml", ".csv", ".s1p") else {}
    known: set[tuple[str, ...]] = set()
    with tempfile.TemporaryDirectory() as folder:

        def one(content: bytes) -> None:
            try:
                drive(name, content, Path(folder))
            except Exception as error:
                kept(error, content, corpus, known)

        atheris.Setup(options, one, **more)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
