"""One turn of the first dial of every explorer, to the new picture and sound, without a browser."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import count

from pickupcalc.show.explorers.bench import bench_explorer
from pickupcalc.show.explorers.circuit import pair_explorer, peak_explorer
from pickupcalc.show.explorers.coil import henries_explorer
from pickupcalc.show.explorers.frame import Explorer
from pickupcalc.show.explorers.magnet import (
    compass_explorer,
    reversal_explorer,
    strings_explorer,
    warming_explorer,
)
from pickupcalc.show.explorers.measurement import hum_explorer, meter_explorer, sweep_explorer
from pickupcalc.show.explorers.polarity import plan_explorer, string_explorer
from pickupcalc.show.explorers.pots import pots_explorer
from pickupcalc.show.explorers.sound import sound_explorer
from tests.benchmarks.frame import Figure, timed

LIMIT = 0.25  # s, wished from key to picture; the browser takes some of it
EXPLORERS: dict[str, Callable[[], Explorer]] = {
    "01 what is on the bench": bench_explorer,
    "02 how many henries": henries_explorer,
    "03 where is the peak": peak_explorer,
    "04 two pickups together": pair_explorer,
    "05 how two sound, with sound": sound_explorer,
    "06 which pots": pots_explorer,
    "07 a string over pickups": string_explorer,
    "08 what to reverse": plan_explorer,
    "09 reversing a magnet": reversal_explorer,
    "09 compass": compass_explorer,
    "09 warming": warming_explorer,
    "09 strings over magnets": strings_explorer,
    "10 reading the meter": meter_explorer,
    "11 sound card": sweep_explorer,
    "12 hum": hum_explorer,
}


def figures() -> Iterator[Figure]:
    for name, make in EXPLORERS.items():
        yield timed(f"redraw, {name}", _turn(make()), limit=LIMIT)


def _turn(explorer: Explorer) -> Callable[[], None]:
    """To and fro: one step of the first slider, or the next word of the last menu."""
    turns = count()
    dials = explorer.dials.values()
    slider = next((dial.slider for dial in dials if hasattr(dial, "slider")), None)
    if slider is None:
        menu = list(dials)[-1].menu
        return lambda: setattr(menu, "index", next(turns) % len(menu.options))
    steps = (slider.value + k * slider.step for k in (2, 4, 6, 8))
    places = [slider.max - abs(slider.max - place) for place in steps]
    return lambda: setattr(slider, "value", places[next(turns) % len(places)])
