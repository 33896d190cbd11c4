"""A pickup: what a meter, a compass and a tap on its poles tell of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pickupcalc.errors import Fault
from pickupcalc.parts.coil import Coil
from pickupcalc.parts.fields import (
    Amount,
    Inner,
    MaybeAmount,
    Part,
    Words,
    checked,
    choice,
    choices,
    measured,
    number,
    part,
    text,
)
from pickupcalc.parts.sensing import Sensing
from pickupcalc.physics.winding.wire import COPPER_COEFFICIENT
from pickupcalc.units import quantity

if TYPE_CHECKING:
    from pint import Quantity

COPPER_20_DEGC = 293.15  # K

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
    coil : Coil or mapping, optional
        Geometry; resistance, inductance and capacitance that were not measured are
        computed from it and listed in `computed`.
    coupled_to : str, optional
        The other coil of a twin-coil pickup, side by side with this one.
    spacing : Quantity or str, optional
        Between the two coils' middles; with both geometries it gives the coupling.
    mutual_inductance : Quantity or str, optional
        Its size where it was measured; the sign follows from the windings.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> neck = pc.Pickup(name="neck", resistance="6k1", inductance="2.45 H", magnet="south", tap="positive")
    >>> neck.resistance.m_as("ohm"), neck.signal_sign, neck.hum_sign
    (6100.0, 1, -1)
    >>> pc.Pickup(name="neck", resistance=6.1, inductance="2.45 H")
    Traceback (most recent call last):
    pickupcalc.errors.InputError: resistance: 6.1 has no unit; write "6.1 kohm"
    """

    name: str = text()
    resistance: Amount = measured("ohm", default=None, above=0)
    inductance: Amount = measured("henry", default=None, above=0)
    resistance_temperature: Amount = measured("kelvin", default="20 degC", above=200)
    capacitance: MaybeAmount = measured("farad", default=None, at_least=0)
    loss_resistance: MaybeAmount = measured("ohm", default=None, above=0)
    distance_from_bridge: MaybeAmount = measured("meter", default=None, above=0)
    aperture: MaybeAmount = measured("meter", default=None, at_least=0)
    sensitivity: Any = number(default=1.0, at_least=0)
    hum_sensitivity: Any = number(default=1.0, at_least=0)
    magnet: str | None = choice("north", "south", default=None)
    tap: str | None = choice("positive", "negative", default=None)
    winding: str | None = choice("clockwise", "counter-clockwise", default=None)
    hot: str | None = choice("start", "finish", default=None)
    allowed: Words = choices("swap leads", "reverse magnet", default=("swap leads", "reverse magnet"))
    magnet_kind: str | None = text(default=None)
    lead_tied_to: str | None = choice("cover", "baseplate", "screen", default=None)
    housing: str | None = text(default=None)
    sensing: Inner[Sensing | None] = part(Sensing, default=None)
    coil: Inner[Coil | None] = part(Coil, default=None)
    coupled_to: str | None = text(default=None)
    spacing: MaybeAmount = measured("meter", default=None, above=0)
    mutual_inductance: MaybeAmount = measured("henry", default=None, at_least=0)
    computed: tuple[str, ...] = checked(tuple, default=())

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.coil is not None:
            self._complete(self.coil)

    def _complete(self, coil: Coil) -> None:
        """Compute from the coil's geometry what was not measured, and remember what that was."""
        warm = 1 + COPPER_COEFFICIENT * (self.resistance_temperature.m - COPPER_20_DEGC)
        units = {"resistance": "ohm", "inductance": "henry", "capacitance": "farad"}
        for key, unit in units.items():
            if getattr(self, key) is None:
                value = self.geometric()[key] * (warm if key == "resistance" else 1.0)
                object.__setattr__(self, key, quantity(value, unit))
                object.__setattr__(self, "computed", (*self.computed, key))
        if self.winding is None:
            object.__setattr__(self, "winding", coil.winding)

    @classmethod
    def keys(cls) -> tuple[str, ...]:
        return tuple(f for f in super().keys() if f != "computed")  # noqa: SIM118

    def geometric(self) -> dict[str, float]:
        """What the coil's geometry tells, in SI; resistance at 20 degC. Empty without a geometry."""
        if self.coil is None:
            return {}
        return {
            "resistance": self.coil.dc_resistance,
            "inductance": self.coil.low_frequency_inductance,
            "capacitance": self.coil.own_capacitance,
        }

    def as_json(self) -> dict[str, Any]:
        """The figures in SI, which of them were computed, and all that the geometry tells."""
        names = {"resistance": "resistance_ohm", "inductance": "inductance_h", "capacitance": "capacitance_f"}
        return {
            "name": self.name,
            "resistance_ohm": float(self.resistance_at_20_degc.m),
            "inductance_h": float(self.inductance.m),
            "capacitance_f": float(self.known("capacitance").m),
            "computed": [names[key] for key in self.computed],
            "from_geometry": {names[key]: value for key, value in self.geometric().items()},
        }

    @property
    def sections(self) -> tuple[Any, tuple[tuple[Any, Any], ...]]:
        """The winding's inductance (H), and the losses of its metal as pairs (ohm, H) in series with it.

        Without a geometry, or where `loss_resistance` tells the losses, the inductance is all there is. A
        measured inductance rescales what the geometry tells.
        """
        if self.coil is None or self.loss_resistance is not None:
            return self.inductance.m, ()
        network = self.coil.network
        scale = self.inductance.m / (network.inductance + sum(x for _, x in network.sections))
        return network.inductance * scale, tuple((r * scale, x * scale) for r, x in network.sections)

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
        faults = (
            []
            if self.coil
            else [
                Fault(key, "is missing; measure it, or give the coil's geometry in [pickup.coil]")
                for key in ("resistance", "inductance")
                if getattr(self, key) is None
            ]
        )
        return faults + self._of_polarity() + self._of_coupling()

    def _of_coupling(self) -> list[Fault]:
        if self.coupled_to is None:
            given = [k for k in ("spacing", "mutual_inductance") if getattr(self, k) is not None]
            return [Fault(k, "needs coupled_to, the name of the other coil") for k in given]
        if (self.spacing is None) == (self.mutual_inductance is None):
            return [
                Fault("coupled_to", "needs spacing (and the geometry of both coils) or mutual_inductance")
            ]
        return []

    def _of_polarity(self) -> list[Fault]:
        if not (self.tap and self.magnet and self.winding and self.hot):
            return []
        wound = _SIGN[self.winding] * _SIGN[self.hot] * _SIGN[self.magnet]
        if wound == _SIGN[self.tap]:
            return []
        expected = "positive" if wound > 0 else "negative"
        told = f"magnet {self.magnet}, winding {self.winding} and hot {self.hot} would tap {expected}"
        return [Fault("tap", f'"{self.tap}" contradicts the rest: {told}; look again at one of the four')]
