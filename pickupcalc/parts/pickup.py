"""A pickup: what a meter, a compass and a tap on its poles tell of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pickupcalc.errors import Fault
from pickupcalc.parts.fields import Part, choice, choices, measured, number, part, text
from pickupcalc.parts.sensing import Sensing

if TYPE_CHECKING:
    from pint import Quantity

COPPER_20_DEGC = 293.15  # K
COPPER_COEFFICIENT = 0.00393  # per K at 20 degC, IEC 60028:1925

_SIGN = {"north": 1, "south": -1, "positive": 1, "negative": -1}
_SIGN |= {"counter-clockwise": 1, "clockwise": -1, "finish": 1, "start": -1}


@dataclass(frozen=True, kw_only=True)
class Pickup(Part):
    """One coil with its magnet, as measured. A twin-coil pickup is two of them.

    Signs follow Faraday's law, seen from the strings: m = +1 with the north pole
    up, w = +1 wound counter-clockwise from start to finish, c = +1 with the
    finish hot. A hum field does not care for the magnet, so its sign is h = w c;
    the signal's is s = m w c. Steel pulled off a pole lowers the flux, and the
    hot lead then swings to the side of s.

    Parameters
    ----------
    name : str
    resistance : Quantity or str
        Measured with a meter, DC, at `resistance_temperature` (20 degC if left out).
    inductance : Quantity or str
        At low frequency.
    capacitance : Quantity or str, optional
        The winding's own. A usual value stands in where it is left out.
    loss_resistance : Quantity or str, optional
        Losses of iron and eddy currents, as a resistance across the coil.
    sensitivity, hum_sensitivity : float
        EMF from the strings, and from a hum field, relative to the other pickups.
    magnet : {"north", "south"}, optional
        The pole that faces the strings.
    tap : {"positive", "negative"}, optional
        Which way the hot lead swings when steel is pulled off a pole.
    winding, hot : str, optional
        "clockwise" or "counter-clockwise", and "start" or "finish"; they do what
        `tap` does.
    allowed : sequence of {"swap leads", "reverse magnet"}
        What may be changed.
    magnet_kind : str, optional
        "alnico rods", "bar under steel poles" ...: how it would be reversed.
    lead_tied_to : {"cover", "baseplate", "screen"}, optional
        Metal that one lead is joined to; left out, both leads are free.
    housing : str, optional
        Coils that name the same housing are one twin-coil pickup: a bar under
        their poles turns over for both, and their leads come out together.
    sensing : Sensing or mapping, optional
        Poles and their distance from the strings, for what is heard.
    """

    name: str = text()
    resistance: Quantity = measured("ohm", above=0)
    inductance: Quantity = measured("henry", above=0)
    resistance_temperature: Quantity = measured("kelvin", default="20 degC", above=0)
    capacitance: Quantity | None = measured("farad", default=None, at_least=0)
    loss_resistance: Quantity | None = measured("ohm", default=None, above=0)
    distance_from_bridge: Quantity | None = measured("meter", default=None, above=0)
    aperture: Quantity | None = measured("meter", default=None, at_least=0)
    sensitivity: Any = number(default=1.0, at_least=0)
    hum_sensitivity: Any = number(default=1.0, at_least=0)
    magnet: str | None = choice("north", "south", default=None)
    tap: str | None = choice("positive", "negative", default=None)
    winding: str | None = choice("clockwise", "counter-clockwise", default=None)
    hot: str | None = choice("start", "finish", default=None)
    allowed: tuple[str, ...] = choices(
        "swap leads", "reverse magnet", default=("swap leads", "reverse magnet")
    )
    magnet_kind: str | None = text(default=None)
    lead_tied_to: str | None = choice("cover", "baseplate", "screen", default=None)
    housing: str | None = text(default=None)
    sensing: Sensing | None = part(Sensing, default=None)

    @property
    def resistance_at_20_degc(self) -> Quantity:
        """Copper's resistance brought to 20 degC: 10 K are 4 %."""
        kelvin = self.resistance_temperature.magnitude - COPPER_20_DEGC
        return self.resistance / (1 + COPPER_COEFFICIENT * kelvin)

    @property
    def magnet_sign(self) -> int | None:
        return _SIGN[self.magnet] if self.magnet else None

    @property
    def hum_sign(self) -> int | None:
        """h: +1 or -1, or None while too little was observed."""
        if self.winding and self.hot:
            return _SIGN[self.winding] * _SIGN[self.hot]
        return _SIGN[self.tap] * _SIGN[self.magnet] if self.tap and self.magnet else None

    @property
    def signal_sign(self) -> int | None:
        """s: +1 or -1, or None while too little was observed."""
        if self.tap:
            return _SIGN[self.tap]
        h, m = self.hum_sign, self.magnet_sign
        return h * m if h and m else None

    def _contradictions(self) -> list[Fault]:
        if not (self.tap and self.magnet and self.winding and self.hot):
            return []
        wound = _SIGN[self.winding] * _SIGN[self.hot] * _SIGN[self.magnet]
        if wound == _SIGN[self.tap]:
            return []
        expected = "positive" if wound > 0 else "negative"
        told = f"magnet {self.magnet}, winding {self.winding} and hot {self.hot} would tap {expected}"
        return [Fault("tap", f'"{self.tap}" contradicts the rest: {told}; look again at one of the four')]
