"""An instrument: pickups, controls, selector positions and what hangs on the jack."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import Any, TypeVar

from pickupcalc.errors import Fault, InputError, quoted
from pickupcalc.instrument.observation import Observation
from pickupcalc.instrument.wiring import Leaf, Wiring, read_wiring
from pickupcalc.limits import LIST, PICKUPS, at_most
from pickupcalc.parts.controls import Blend, Control
from pickupcalc.parts.fields import Checked, MaybeAmount, Part, Words, checked, choices, measured, text
from pickupcalc.parts.load import Load
from pickupcalc.parts.pickup import Pickup
from pickupcalc.parts.strings import String
from pickupcalc.parts.twin import twin_faults
from pickupcalc.units import to_si

Named = TypeVar("Named", "Pickup", "Position")
WANTED = ("in phase", "out of phase", "hum-cancelling", "not hum-cancelling")


def _mains(given: Any) -> Any:
    if to_si(given, "hertz") not in (50.0, 60.0):
        raise InputError.of("", f'"{given}" is not one of: "50 Hz", "60 Hz"')
    return given


@dataclass(frozen=True, kw_only=True)
class Position(Part):
    """One position of the selector.

    Parameters
    ----------
    name : str
    wiring : Wiring, str or mapping
        As in a job file: a pickup's name, or ``{"parallel": ["neck", "bridge"]}``.
    wanted : sequence of str
        Properties the repairer wants of it.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> both = pc.Position(name="both", wiring={"series": ["neck", {"reversed": "bridge"}]})
    >>> both.wiring.pickups()
    ['neck', 'bridge']
    """

    name: str = text()
    wiring: Checked[Wiring, Wiring | str | Mapping[str, Any]] = checked(read_wiring)
    wanted: Words = choices(*WANTED, default=())


@dataclass(frozen=True, kw_only=True)
class About(Part):
    """What the card of an instrument says."""

    name: str = text()
    scale_length: MaybeAmount = measured("meter", default=None, above=0)
    mains: Any = checked(_mains, default="50 Hz")


@dataclass(frozen=True)
class Instrument:
    """Everything that one prediction needs. Without positions, each pickup is one.

    Raises
    ------
    InputError
        For names used twice, names of pickups that do not exist, and controls
        that the wiring of a position leaves no place for.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> one = pc.Pickup(name="one", resistance="6.1 kohm", inductance="2.45 H")
    >>> instrument = pc.Instrument(pc.About(name="a bass"), (one,), (pc.Volume(track="250k"),))
    >>> [position.name for position in instrument.positions]
    ['one']
    """

    about: About
    pickups: tuple[Pickup, ...]
    controls: tuple[Control, ...] = ()
    positions: tuple[Position, ...] = ()
    load: Load = field(default_factory=Load)
    strings: tuple[String, ...] = ()
    observations: tuple[Observation, ...] = ()

    def __post_init__(self) -> None:
        at_most("", self.pickups, PICKUPS, "pickups")
        for kind in ("controls", "positions", "strings", "observations"):
            at_most("", getattr(self, kind), LIST, kind)
        if not self.positions:
            alone = tuple(Position(name=p.name, wiring=Leaf(p.name)) for p in self.pickups)
            object.__setattr__(self, "positions", alone)
        faults = [] if self.pickups else [Fault("pickup", "is missing; an instrument has at least one")]
        faults += _twice("pickup", [p.name for p in self.pickups])
        faults += _twice("position", [p.name for p in self.positions])
        known = {p.name for p in self.pickups}
        for p in self.positions:
            faults += _unknown(f"position {p.name!r}, wiring", p.wiring.pickups(), known)
        for c, label in zip(self.controls, self.control_labels(), strict=True):
            faults += _unknown(f"control {label!r}, pickups", c.pickups or (), known)
        for i, o in enumerate(self.observations, 1):
            faults += self._observation_faults(f"observation {i}", o, known)
        faults += _coupling_faults(self.pickups)
        if faults:
            raise InputError(faults)

    def _observation_faults(self, where: str, observed: Observation, known: set[str]) -> list[Fault]:
        if observed.pickups is not None:
            return _unknown(f"{where}, pickups", observed.pickups, known)
        joined = [len(p.wiring.pickups()) for p in self.positions if p.name == observed.position]
        if joined == [2]:
            return []
        problem = f"joins {joined[0]} pickups, not two" if joined else "is not a position here"
        return [Fault(f"{where}, position", f'"{observed.position}" {problem}')]

    def pickup(self, name: str) -> Pickup:
        """The pickup of this name; refused where there is none."""
        return _named("pickup", name, self.pickups)

    def computed(self, position: Position | None = None) -> list[str]:
        """What was computed from coils' geometry instead of measured, in words; of one position or of all."""
        names = position.wiring.pickups() if position else [p.name for p in self.pickups]
        return [f"{name}'s {key}" for name in names for key in self.pickup(name).computed]

    def position(self, name: str) -> Position:
        """The position of this name; refused where there is none."""
        return _named("position", name, self.positions)

    @property
    def mains(self) -> float:
        """Mains frequency, Hz."""
        return to_si(self.about.mains, "hertz")

    def serving(self, kind: type[Control], positions: Sequence[Position]) -> tuple[int, ...]:
        """Indices of the controls of a kind that act on any pickup of these positions."""
        names = {name for p in positions for name in p.wiring.pickups()}
        return tuple(
            i
            for i, c in enumerate(self.controls)
            if isinstance(c, kind) and (c.pickups is None or names.intersection(c.pickups))
        )

    def control_labels(self) -> list[str]:
        """A name for each control, unlike all others: its own, or its kind, pickups and a number."""
        plain = [c.name or " ".join([*(c.pickups or ()), c.kind]) for c in self.controls]
        labels: list[str] = []
        for name in plain:
            numbered = (f"{name} {number}" for number in count(1))
            free = (label for label in numbered if label not in plain and label not in labels)
            labels.append(name if plain.count(name) == 1 else next(free))
        return labels

    def controls_up(self) -> dict[str, float]:
        """By label, the rotation at which each control takes nothing away: a blend stands in the middle."""
        up = (0.5 if isinstance(c, Blend) else 1.0 for c in self.controls)
        return dict(zip(self.control_labels(), up, strict=True))


def _named(kind: str, name: str, among: Sequence[Named]) -> Named:
    for one in among:
        if one.name == name:
            return one
    raise InputError.of(kind, f'"{name}" is not one of: {quoted(one.name for one in among)}')


def _coupling_faults(pickups: tuple[Pickup, ...]) -> list[Fault]:
    """Twin coils: the other must be there, its polarity known, and its geometry where that is needed."""
    by_name = {p.name: p for p in pickups}
    faults = []
    for p in pickups:
        key = f"pickup {p.name!r}, coupled_to"
        other = by_name.get(p.coupled_to or "")
        if p.coupled_to is None:
            continue
        if other is None or other is p:
            faults.append(Fault(key, f'"{p.coupled_to}" is not another pickup here'))
        elif other.coupled_to is not None:
            faults.append(Fault(key, f"is told twice; leave it out of {other.name!r}"))
        elif p.hum_sign is None or other.hum_sign is None:
            faults.append(Fault(key, "needs both windings' senses: tap and magnet, or winding and hot"))
        elif p.mutual_inductance is None:
            faults += twin_faults(p, other, key)
    return faults


def _twice(kind: str, names: list[str]) -> list[Fault]:
    return [
        Fault(f"{kind} {name!r}", "is there twice; each needs a name of its own")
        for name in dict.fromkeys(names)
        if names.count(name) > 1
    ]


def _unknown(key: str, names: Any, known: set[str]) -> list[Fault]:
    options = quoted(sorted(known))
    return [
        Fault(key, f'"{name}" is not a pickup here; there are: {options}')
        for name in names
        if name not in known
    ]
