"""Round winding wire: gauge, resistance, packing and the capacitance between layers. SI units."""

from __future__ import annotations

import numpy as np

from pickupcalc.physics.constants import EPSILON_0
from pickupcalc.physics.winding.quadrature import gauss

COPPER_RESISTIVITY = 1 / 58e6  # ohm m at 20 degC, IEC 60028:1925
COPPER_COEFFICIENT = 0.00393  # 1/K at 20 degC, IEC 60028:1925
COPPER_DENSITY = 8890.0  # kg/m^3 at 20 degC, IEC 60028:1925
CLOSEST = np.sqrt(3) / 2  # area per round wire in the closest packing, in squares of its diameter


def awg_diameter(gauge: float) -> float:
    """Bare diameter in metres of American wire gauge n: 0.005 inch x 92^((36 - n)/39), ASTM B258.

    Examples
    --------
    >>> f"{awg_diameter(42) * 1e3:.4f} mm"
    '0.0633 mm'
    """
    return 0.127e-3 * 92 ** ((36 - gauge) / 39)


def resistance_per_metre(diameter: float, temperature: float = 20.0, stretch: float = 0.0) -> float:
    """Ohm per metre of wound copper wire at a temperature in degC.

    `stretch` is how much longer the tension has drawn the wire; at constant volume its section is smaller
    by the same factor, so a wound metre has (1 + stretch) times the resistance.

    Examples
    --------
    >>> f"{resistance_per_metre(0.0633e-3):.2f} ohm/m"
    '5.48 ohm/m'
    """
    area = np.pi / 4 * diameter**2
    return COPPER_RESISTIVITY * (1 + COPPER_COEFFICIENT * (temperature - 20.0)) * (1 + stretch) / area


def layer_capacitance(
    turns: float,
    mean_turn: float,
    height: float,
    build: float,
    bare: float,
    overall: float,
    permittivity: float,
) -> float:
    """Own capacitance in farads of a winding laid in layers, hexagonally, start and finish at its two faces.

    Parameters
    ----------
    turns : float
    mean_turn, height, build : float
        Of the winding, m.
    bare, overall : float
        Diameter of the wire without and with its film, m; a film there must be.
    permittivity : float
        Relative, of the film.

    Notes
    -----
    Between touching enamelled wires the field runs through both films and the gap D (1 - cos theta) that
    opens from the line of contact; each wire faces two of the next layer over +-30 degrees. The voltage
    between layers grows evenly along each pair, which leaves C = (4/3) C_layer (m - 1) / m^2 for m layers
    (energy of the layers' fields, derived here). Scatter, wax and leads move the real value by +-40 %.
    """
    pitch = np.sqrt(height * build / (CLOSEST * turns))
    layers = max(2.0, build / (CLOSEST * pitch))
    u, w = gauss(16)
    theta = np.pi / 6 * (2 * u - 1)
    film = np.log(overall / bare) / permittivity
    pair = EPSILON_0 * mean_turn * np.pi / 3 * float((w / (2 * (film + 1 - np.cos(theta)))).sum())
    return 4 / 3 * (2 * pair * turns / layers) * (layers - 1) / layers**2
