"""What hangs on the jack: cable and amplifier."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pickupcalc.parts.fields import Amount, MaybeAmount, Part, measured

if TYPE_CHECKING:
    from pint import Quantity


@dataclass(frozen=True, kw_only=True)
class Load(Part):
    """Cable and amplifier input. Usual values stand in for what is left out.

    Parameters
    ----------
    cable_length : Quantity or str, optional
        Of a coiled cable, the length of the wire in it.
    cable_capacitance : Quantity or str, optional
        Per length.
    amplifier_resistance, amplifier_capacitance : Quantity or str, optional
        Of the input.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> round(pc.Load(cable_length="3 m", cable_capacitance="100 pF/m").cable.m_as("pF"))
    300
    """

    cable_length: MaybeAmount = measured("meter", default=None, at_least=0)
    cable_capacitance: MaybeAmount = measured("farad/meter", default=None, at_least=0)
    amplifier_resistance: MaybeAmount = measured("ohm", default=None, above=0)
    amplifier_capacitance: Amount = measured("farad", default="0 F", at_least=0)

    @property
    def cable(self) -> Quantity:
        """Capacitance of the whole cable."""
        return (self.known("cable_length") * self.known("cable_capacitance")).to("farad")
