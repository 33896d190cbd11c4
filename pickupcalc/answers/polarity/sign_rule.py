"""The sign rule derived from Faraday's law, step by step, by sympy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class SignRule:
    """Faraday's law brought to the signs s = m w c and h = w c.

    Attributes
    ----------
    flux, signal, hum : sympy.Expr
        Flux of the string through one turn; voltage of the hot lead for the
        moving string; and for an outside field.
    signal_sign, hum_sign : sympy.Expr
        What is left of each when everything positive is divided out.
    symbols : dict of str to sympy.Symbol
    """

    flux: Any
    signal: Any
    hum: Any
    signal_sign: Any
    hum_sign: Any
    symbols: dict[str, Any]

    def steps(self) -> list[tuple[str, Any]]:
        """Sentence and formula of each step."""
        return [
            ("The magnet m draws the string's steel to a small magnet of its own, the same way up. "
             "Its flux through one turn, at height z:", self.flux),
            ("Faraday's law, the hot lead of N turns wound w with lead c, the string leaving at speed v:",
             self.signal),
            ("Divide out all that is positive; the signal's sign is", self.signal_sign),
            ("An outside field that falls at rate b asks no magnet:", self.hum),
            ("so the hum's sign is", self.hum_sign),
        ]  # fmt: skip


def derive() -> SignRule:
    """From flux to signs.

    The string's moment falls with its height as M(z) = M0 g(z), g positive and
    falling; here g = k^3 / (k + z)^3 with any k > 0, a magnet's field some way
    off. The flux of a dipole on the axis of a turn of radius a is
    mu0 M a^2 / (2 (a^2 + z^2)^(3/2)).
    """
    import sympy as sp

    z, a, k, v, b, n, area, mu0, moment = sp.symbols("z a k v b N A mu_0 M_0", positive=True)
    m, w, c = sp.symbols("m w c", real=True, nonzero=True)
    flux = mu0 * m * moment * k**3 / (k + z) ** 3 * a**2 / (2 * (a**2 + z**2) ** sp.Rational(3, 2))
    signal = sp.factor(-w * c * n * sp.diff(flux, z) * v)
    hum = -w * c * n * area * (-b)
    positive = sp.simplify(signal / (m * w * c))
    if not positive.is_positive or not (hum / (w * c)).is_positive:
        raise ArithmeticError("the parts that should be positive are not")
    symbols = {"m": m, "w": w, "c": c, "z": z, "v": v, "b": b}
    signs = sp.cancel(signal / positive), sp.cancel(hum / (n * area * b))
    return SignRule(flux, signal, hum, *signs, symbols)
