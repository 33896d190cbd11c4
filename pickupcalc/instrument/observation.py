"""What the ear tells of two pickups together, where compass or tap test are missing."""

from __future__ import annotations

from dataclasses import dataclass

from pickupcalc.errors import Fault
from pickupcalc.parts.fields import MaybeWords, Part, choice, names, text


@dataclass(frozen=True, kw_only=True)
class Observation(Part):
    """Two pickups heard together.

    Parameters
    ----------
    pickups : sequence of two str, optional
        Joined side by side or in a row, neither turned round.
    position : str, optional
        Instead: a position of the selector that joins two pickups.
    sound : {"full", "thin"}, optional
        Against each of the two alone; thin is what opposed signals sound like.
    hum : {"quiet", "hums"}, optional
        Quiet: much less than each alone.
    """

    pickups: MaybeWords = names(default=None)
    position: str | None = text(default=None)
    sound: str | None = choice("full", "thin", default=None)
    hum: str | None = choice("quiet", "hums", default=None)

    def _contradictions(self) -> list[Fault]:
        if (self.pickups is None) == (self.position is None):
            return [Fault("pickups", 'give either pickups = ["one", "other"] or position = "name"')]
        if self.pickups is not None and len(set(self.pickups)) != 2:
            return [Fault("pickups", f"names {len(set(self.pickups))}; two different ones are compared")]
        if self.sound is None and self.hum is None:
            return [Fault("sound", 'is missing, and so is hum; give sound = "full" or "thin", or hum')]
        return []
