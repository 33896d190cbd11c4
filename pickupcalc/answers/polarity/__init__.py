"""Phase and hum as signs: what was observed, what follows, what to change.

`signs` reads them out of observations, `facts` says how a position's pickups
meet, `truth` tabulates every case, `planner` finds the least repair, `proof`
says why a wish cannot be met, `work_order` turns a plan into steps, and
`apprentice` shows where the rule comes from.
"""

from pickupcalc.answers.polarity.facts import UNKNOWN, hum, phase

__all__ = ["UNKNOWN", "hum", "phase"]
