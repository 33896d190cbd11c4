"""What the tolerance of real parts does to one position: bands, spread and who makes it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pickupcalc.answers.positions import figures
from pickupcalc.answers.pots.blocks import Progress, in_blocks
from pickupcalc.answers.pots.shape import levels_db
from pickupcalc.answers.tolerance import Draw, UncertainInput, draw, inputs_of, varied
from pickupcalc.instrument.instrument import Instrument
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

FIGURES = ("peak_frequency", "peak_height_db", "q", "cutoff_frequency", "level_db")
PERCENTILES = (2.5, 50.0, 97.5)
BAND = (20.0, 20e3, 121)  # Hz: from, to, how many points of the band


@dataclass(frozen=True)
class Scatter:
    """One figure over many instruments of the same drawing, in SI or dB.

    Attributes
    ----------
    low, middle, high : float
        95 of 100 instruments lie between low and high; half lie below the middle.
    present : float
        Share of the instruments that have this figure at all.
    shares : mapping of str to float
        Share of the variance by cause, greatest first.
    values : ndarray, shape (samples,)
        Of each instrument; nan where there is none.
    """

    low: float
    middle: float
    high: float
    present: float
    shares: Mapping[str, float]
    values: NDArray[Any]

    def as_json(self) -> dict[str, Any]:
        told = {"low": self.low, "middle": self.middle, "high": self.high, "present": self.present}
        return told | {"variance_shares": dict(self.shares)}


@dataclass(frozen=True)
class Tolerance:
    """Many instruments of one drawing, in one position.

    Attributes
    ----------
    position : str
    samples, seed : int
    figures : mapping of str to Scatter
        By the names in `FIGURES`; a figure that no instrument has is left out.
    frequencies : Quantity, shape (frequencies,)
    band_db : ndarray, shape (3, frequencies)
        Low, middle and high level at each frequency.
    """

    position: str
    samples: int
    seed: int
    figures: Mapping[str, Scatter]
    frequencies: Quantity
    band_db: NDArray[Any]

    def as_json(self) -> dict[str, Any]:
        return {
            "position": self.position,
            "samples": self.samples,
            "seed": self.seed,
            "figures": {key: s.as_json() for key, s in self.figures.items()},
            "frequencies_hz": self.frequencies.m_as("hertz").tolist(),
            "band_db": self.band_db.tolist(),
        }


def scatter(
    instrument: Instrument,
    position: str,
    *,
    samples: int = 1000,
    seed: int = 1,
    inputs: Sequence[UncertainInput] | None = None,
    batch_share: float | None = None,
    progress: Progress | None = None,
) -> Tolerance:
    """Vary all parts of a position at once, as `tolerance.draw` does.

    Parameters
    ----------
    instrument : Instrument
    position : str
        Its name.
    samples : int
        2 to 100,000. A chance of one in ten is then known to about 1 part in
        sqrt(samples).
    seed : int
        The same seed gives the same result.
    inputs : sequence of UncertainInput, optional
        What is uncertain, and how much; the position's own if left out.
    batch_share : float, optional
        See `tolerance.draw`.
    progress : callable, optional
        See `blocks.in_blocks`.

    Raises
    ------
    InputError
        For a position that is not there, or a number of samples out of range.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> instrument = pc.read_job("data/bass_12.toml").instrument
    >>> height = pc.scatter(instrument, "neck", samples=200).figures["peak_height_db"]
    >>> f"{height.low:.1f} to {height.high:.1f} dB"
    '1.7 to 3.3 dB'
    """
    where = instrument.position(position)
    uncertain = inputs_of(instrument, [where]) if inputs is None else inputs
    drawn = draw(instrument, uncertain, samples, seed=seed, batch_share=batch_share)
    hertz = np.geomspace(*BAND)

    def measure(rows: slice) -> NDArray[Any]:
        some = varied(instrument, drawn.rows(rows))
        found = figures(some, where)
        curves = levels_db(some, where, hertz)
        columns = np.broadcast_to(curves, (rows.stop - rows.start, hertz.size))
        return np.column_stack([*(np.broadcast_to(found[f], columns.shape[0]) for f in FIGURES), columns])

    table = in_blocks(measure, samples, progress)
    spread = {key: _scatter(table[:, i], drawn) for i, key in enumerate(FIGURES)}
    return Tolerance(
        position=position,
        samples=samples,
        seed=seed,
        figures={key: s for key, s in spread.items() if s.present > 0},
        frequencies=quantity(hertz, "hertz"),
        band_db=np.percentile(table[:, len(FIGURES) :], PERCENTILES, axis=0),
    )


def _scatter(values: NDArray[Any], drawn: Draw) -> Scatter:
    there = np.isfinite(values)
    low, middle, high = np.percentile(values[there], PERCENTILES) if there.any() else [np.nan] * 3
    return Scatter(float(low), float(middle), float(high), float(there.mean()), drawn.shares(values), values)
