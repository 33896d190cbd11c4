"""What reversing means for a magnet known only by its name on the bench, for a plan and its sheet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from pickupcalc.answers.magnet.cautions import Caution, cautions_by_kind
from pickupcalc.answers.magnet.reversal import reversal
from pickupcalc.parts.jig import Blocks
from pickupcalc.parts.keeper import Keeper
from pickupcalc.parts.magnets import BarUnderPoles, Magnets, Rods, TwinCoil

LOOK = "Look first: rods that attract steel by themselves, or steel slugs on a bar? The work depends on it."


@dataclass(frozen=True)
class Reversing:
    """How a magnet of some kind is reversed.

    Attributes
    ----------
    kind : str or None
        As it stands in the job file.
    verdict : {"fully", "partly", "not at all", "unknown"}
        Of two rare-earth blocks of 80 x 25 x 25 mm as close as a pickup of usual size lets them come.
    advice : str
    cautions : tuple of Caution
    """

    kind: str | None
    verdict: str
    advice: str
    cautions: tuple[Caution, ...]


@lru_cache(maxsize=64)
def reversing(magnet_kind: str | None) -> Reversing:
    """What to do to reverse a magnet, from `magnet_kind` of a job file's pickup.

    Parameters
    ----------
    magnet_kind : str or None
        Free text such as "alnico rods" or "bar under steel poles". Read for the words rod, bar, twin,
        keeper, alnico (with its number), ferrite and neodymium; everything else is taken at its usual size.

    Examples
    --------
    >>> import pickupcalc as pc
    >>> pc.reversing("alnico rods").verdict
    'fully'
    """
    magnets = usual_magnets(magnet_kind)
    if magnets is None:
        return Reversing(magnet_kind, "unknown", LOOK, cautions_by_kind(magnet_kind))
    low, high = magnets.extent
    jig = Blocks.of({"length": "80 mm", "gap": f"{1e3 * (high - low) + 2:.1f} mm"})
    found = reversal(magnets, jig)
    if found.verdict == "fully":
        advice = (
            "Two rare-earth blocks of 80 x 25 x 25 mm, a millimetre from the pickup on both sides, reverse "
            f"it fully ({found.margin:.1f} times the field needed). Check with a compass."
        )
    else:
        advice = found.instead[0]
    return Reversing(magnet_kind, found.verdict, advice, cautions_by_kind(magnet_kind))


def usual_magnets(magnet_kind: str | None) -> Magnets | None:
    """A construction of usual size for a name, or None where the name tells too little."""
    words = (magnet_kind or "").lower()
    grade = next((f"alnico {n}" for n in (2, 3, 5, 8) if f"alnico {n}" in words), None)
    if "ferrite" in words or "ceramic" in words:
        grade = "hard ferrite"
    elif "neodymium" in words or "rare" in words:
        grade = "neodymium N42"
    keeper = Keeper() if "keeper" in words else None
    if "twin" in words:
        return TwinCoil(material=grade or "alnico 5", keeper=keeper)
    if "rod" in words:
        return Rods(material=grade or "alnico 5", keeper=keeper)
    if "bar" in words:
        grade = grade or ("alnico 5" if "alnico" in words else "hard ferrite")
        return BarUnderPoles(material=grade, keeper=keeper)
    return None
