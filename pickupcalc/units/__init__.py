"""Units at the public edge: text and quantities in, SI numbers inside, quantities out.

The registry is pint's application registry, so a quantity made by anyone's own
``import pint`` fits here. Text is never handed to pint: our grammar is a bounded
number, then factors from a list, so "500k" cannot become a Boltzmann constant
and "2,5 H" cannot become 25 H: it is 2.5 H, as many people write it.
"""

from pickupcalc.units.edge import Frequencies, Given, frequencies, single, to_si, with_units
from pickupcalc.units.registry import quantity, registry
from pickupcalc.units.text import LARGEST_EXPONENT, LONGEST_TEXT, parse
from pickupcalc.units.told import amplitude_db, celsius, engineering, millimetres, power_db

__all__ = [
    "LARGEST_EXPONENT", "LONGEST_TEXT", "Frequencies", "Given", "amplitude_db", "celsius", "engineering",
    "frequencies", "millimetres", "parse", "power_db", "quantity", "registry", "single", "to_si",
    "with_units",
]  # fmt: skip
