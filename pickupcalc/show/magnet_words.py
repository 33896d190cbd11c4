"""What the answers on magnets mean at the bench, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pickupcalc.answers.magnet.at_strings import HEARD, AtString, output_change_db
from pickupcalc.answers.magnet.cautions import Caution
from pickupcalc.answers.magnet.compass import UNSURE, Needle
from pickupcalc.answers.magnet.keeper import KeeperEffect
from pickupcalc.answers.magnet.reversal import Reversal
from pickupcalc.answers.magnet.warming import HOTTEST, TOLERATED, Warming
from pickupcalc.units import celsius

NOTHING_LOST = 1 - TOLERATED


def reversal_sentence(found: Reversal) -> str:
    """The verdict, why, how sure, what it means at the strings, and what to do instead."""
    told = {
        "fully": f"This jig reverses it fully, with {found.margin:.1f} times the field that would just do.",
        "partly": f"This jig reverses it only in part: it has {found.margin:.1f} times the field needed.",
        "not at all": f"This jig leaves it as it is: it has {found.margin:.1f} times the field needed.",
    }[found.verdict]
    told += (
        f" Weakest is {found.where}, where the jig gives {found.jig_field.m / 1e3:.0f} kA/m: there it ends "
        f"with {_turned(found.weakest)}, depending on {found.dominated_by})."
    )
    if found.verdict == "fully" and found.gap_for_fully is not None:
        told += f" Up to a gap of {1e3 * found.gap_for_fully.m:.0f} mm would still do."
    changes = output_change_db(found.strings_before, found.strings_after)
    before, after = 1e3 * found.strings_before.m[0], 1e3 * found.strings_after.m[0]
    least, most = (f"{pick(changes):+.1f}" for pick in (min, max))
    span = f"{most} dB at every pole" if least == most else f"{least} to {most} dB from pole to pole"
    told += (
        f" At {1e3 * found.height.m:.0f} mm above pole 1 the field goes from {before:+.1f} to "
        f"{after:+.1f} mT; output changes by {span}."
    )
    told += f" Keep implants more than {100 * found.implants_beyond.m:.0f} cm from this jig."
    return " ".join([told, *found.instead[: 2 if found.verdict != "fully" else 0]])


def _turned(shares: tuple[float, float, float]) -> str:
    """The usual share and the range; negative shares are the old way round."""
    usual = (
        f"{100 * abs(shares[1]):.0f} % of full strength the {'new' if shares[1] >= 0 else 'old'} way round"
    )
    if min(shares) < 0 < max(shares):
        return f"{usual} (from {-100 * min(shares):.0f} % the old to {100 * max(shares):.0f} % the new way"
    low, high = sorted(100 * abs(share) for share in (shares[0], shares[2]))
    return f"{usual} ({low:.0f} to {high:.0f} %"


def caution_lines(cautions: Iterable[Caution]) -> list[str]:
    """The cautions, one line each."""
    return [f"{c.kind.upper()}: {c.text}" for c in cautions]


def mind(cautions: Iterable[Caution]) -> str:
    """A reminder of the cautions, whose full text stands elsewhere on the page."""
    return f"Mind: {', '.join(c.kind for c in cautions)} (cautions below)."


def warming_sentence(found: Warming) -> str:
    """What comes back, what does not, and the window to work in."""
    here, limit = celsius(found.temperature.m), celsius(found.magnet_limit.m)
    loss = found.reversible_loss
    own = f"{limit:.0f} °C" if found.magnet_limit.m < HOTTEST else f"above {limit:.0f} °C"
    told = (
        f"At {here:.0f} °C: {found.verdict}. While there the magnet is {100 * abs(loss):.1f} % "
        f"{'weaker' if loss >= 0 else 'stronger'} (this comes back); "
        f"{100 * found.lasting_loss:.1f} % at most is lost for good. Its own limit "
        f"is {own} ({100 * TOLERATED:.0f} % lost, or the makers' limit); nothing is left above "
        f"{celsius(found.curie.m):.0f} °C."
    )
    if found.window is not None:
        low, high = (celsius(w.m) for w in found.window)
        return f"{told} Work between {low:.0f} and {high:.0f} °C, thermometer on the part."
    if any(limit.kind == "glue" for limit in found.limits):
        return f"{told} There is no safe window: something else gives way before the glue; do not use heat."
    return told


def compass_sentence(needles: Sequence[Needle]) -> str:
    """Which pole faces the strings, needle by needle where they differ."""
    tops = [n for n in needles if n.end == "top"]
    shown = {n.shows for n in tops}
    if UNSURE in shown:
        strongest = max(n.field.m for n in tops)
        return (
            f"The needle moves ({1e6 * strongest:.0f} µT beside the Earth's own), but it tells nothing sure: "
            "what steel keeps says where the magnet was, not where it is. Never decide a direction by "
            "bare slugs."
        )
    if len(shown) == 1:
        (pole,) = shown
        drawn = "south" if pole == "north" else "north"
        return f"Every top shows a {pole} pole: the needle's {drawn} end is drawn to it."
    each = ", ".join(f"{n.pole} {n.shows}" for n in tops)
    return f"The tops differ: {each}. Move the compass closer to single out a pole between opposite ones."


def keeper_sentence(found: KeeperEffect) -> str:
    """What the keeper does at the strings and to the magnet, and whether its steel can."""
    change = output_change_db(found.strings_without, found.strings_with)[0]
    before, after = (1e3 * abs(s.m[0]) for s in (found.strings_without, found.strings_with))
    told = (
        f"The keeper raises the field {1e3 * found.height.m:.0f} mm above pole 1 from {before:.1f} to "
        f"{after:.1f} mT ({change:+.1f} dB), and B in the magnet from {found.magnet_without.m:.2f} to "
        f"{found.magnet_with.m:.2f} T."
    )
    if found.kept < NOTHING_LOST:
        told += (
            f" Take it off and put it back, and a magnet that was strongest on it may be left with "
            f"{100 * found.kept:.0f} % of its strength: leave it on, or magnetise again with it in place."
        )
    else:
        told += " The magnet loses nothing by being without it for a while."
    if found.too_dense:
        told += (
            f" {found.steel.m:.1f} T in the steel is more than it carries well: the gain is less than told; "
            "a thicker keeper helps."
        )
    return told


def at_string_sentence(found: AtString) -> str:
    """Field, pull and drag, with what a player would notice."""
    noticed = "a player hears that" if abs(found.drag) > HEARD else "hard to hear"
    return (
        f"the string stands in {1e3 * found.field.m:+.1f} mT and is pulled with "
        f"{1e3 * found.force.m:.1f} mN; its fundamental is dragged by {found.drag:+.1f} cents, "
        f"give or take {found.drag_uncertainty:.1f} "
        f"(mostly {found.dominated_by}): {noticed}. Lower the pickup if notes waver."
    )
