"""One pickup with its load, by formula: peak, height, Q and the load for a wanted response.

The quantities' side of `physics.circuit.closed_forms`, where model and derivation stand.
Each function's SI twin is its attribute ``si``.
"""

from __future__ import annotations

from typing import Any

from pickupcalc.physics.circuit import closed_forms
from pickupcalc.units import amplitude_db, with_units

_PARTS = {"resistance": "ohm", "inductance": "henry", "capacitance": "farad", "load": "ohm"}
_COIL = {key: unit for key, unit in _PARTS.items() if key != "load"}


@with_units("hertz", **_PARTS)
def loaded_peak(*, resistance: Any, inductance: Any, capacitance: Any, load: Any) -> Any:
    """Frequency of the peak; nan where the response only falls.

    Parameters
    ----------
    resistance, inductance : Quantity or str
        Of the coil.
    capacitance : Quantity or str
        Of coil, cable and amplifier together.
    load : Quantity or str
        Volume track, amplifier and losses side by side; see `side_by_side`.

    Examples
    --------
    >>> peak = loaded_peak(resistance="6 kohm", inductance="3 H", capacitance="500 pF", load="200 kohm")
    >>> f"{peak.m_as('kHz'):.2f} kHz"
    '3.95 kHz'
    """
    return closed_forms.peak_frequency(
        resistance=resistance, inductance=inductance, capacitance=capacitance, load=load
    )


@with_units(**_PARTS)
def loaded_height_db(*, resistance: Any, inductance: Any, capacitance: Any, load: Any) -> Any:
    """Height of the peak above the level of the lowest notes, dB; nan where there is none."""
    height = closed_forms.peak_height(
        resistance=resistance, inductance=inductance, capacitance=capacitance, load=load
    )
    return amplitude_db(height)


@with_units(**_PARTS)
def loaded_q(*, resistance: Any, inductance: Any, capacitance: Any, load: Any) -> Any:
    """Quality of the loaded resonance; 0.707 is maximally flat."""
    return closed_forms.q(resistance=resistance, inductance=inductance, capacitance=capacitance, load=load)


@with_units("ohm", **_COIL)
def flat_load(*, resistance: Any, inductance: Any, capacitance: Any) -> Any:
    """The load that makes the response maximally flat; nan where the coil alone is damped more.

    Examples
    --------
    >>> load = flat_load(resistance="6 kohm", inductance="3 H", capacitance="500 pF")
    >>> f"{load.m_as('kohm'):.1f} kohm"
    '54.9 kohm'
    """
    return closed_forms.flat_load(resistance=resistance, inductance=inductance, capacitance=capacitance)


@with_units("ohm", q="dimensionless", **_COIL)
def load_for_q(*, resistance: Any, inductance: Any, capacitance: Any, q: Any) -> Any:
    """The load that leaves a quality `q`; nan where no load does."""
    return closed_forms.load_for_q(resistance=resistance, inductance=inductance, capacitance=capacitance, q=q)
