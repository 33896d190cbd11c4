"""Dials turned by tests. Drawing is most of the time, so what is not about the picture only computes."""

from __future__ import annotations

from pickupcalc.show.explorers.widgets import ChoiceDial, QuantityDial
from pickupcalc.units import quantity


def ends(dial):
    """Both ends of a slider, or all that a menu offers; where the dial stands is left out."""
    if isinstance(dial, ChoiceDial):
        found = [value for _, value in dial.menu.options]
    else:
        found = [dial._low, dial._high]
        if isinstance(dial, QuantityDial):
            found = [quantity(end, dial.unit) for end in found]
    return [value for value in found if value != dial.value]


def own_dials(explorer):
    """The dials that are not the job's."""
    above = explorer.subject.dials if explorer.subject else {}
    return {name: dial for name, dial in explorer.dials.items() if name not in above}


def computed(explorer):
    """The result for the dials as they stand, without a picture."""
    return explorer._compute(**explorer.values())


def take(explorer, job):
    """Let an explorer start from a job, without a picture."""
    explorer.subject.job.put(job)
    explorer.subject.offer()
    explorer._put_dials()


def check_every_dial(explorer, *, drawn=-1, all_ends=True):
    """Every end of every dial computes; one of them is drawn, and shows something else than the start."""
    shown = explorer.picture.value, explorer.meaning.value
    for name, dial in own_dials(explorer).items():
        start, found = dial.value, ends(dial)
        for end in found if all_ends else ():
            dial.put(end)
            computed(explorer)
        dial.put(found[max(drawn, -len(found))])
        explorer.redraw()
        assert "alert" not in explorer.meaning.value, name
        assert (explorer.picture.value, explorer.meaning.value) != shown, name
        dial.put(start)
    explorer.redraw()
    assert (explorer.picture.value, explorer.meaning.value) == shown
