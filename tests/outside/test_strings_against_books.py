"""Plucked and stiff strings against textbooks, and against strings solved by finite differences."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.sparse import diags
from scipy.sparse.linalg import spsolve

from pickupcalc.physics.sound.strings import inharmonicity, partial_frequencies, plucked, rigidity, sensed

SUBJECT = "strings and sound"
BOOK = {
    "source": "N. H. Fletcher and T. D. Rossing, The Physics of Musical Instruments (1998), sec. 2.7",
    "status": "published",
}
DIFFERENCES = {"source": "finite differences in time", "status": "another method"}


@pytest.mark.parametrize("at", [1 / 2, 1 / 3, 1 / 5, 0.127])
@pytest.mark.parametrize("n", [1, 2, 3, 5, 10])
def test_fourier_coefficients_of_the_triangle(at, n, outside):
    """Also P. M. Morse, *Vibration and Sound*, 2nd ed. (1948), sec. 9: a_n = 2/l times the integral of the
    shape at the moment of release times sin(n pi x / l). Integrated here by quadrature.
    """

    def shape(x):
        return x / at if x < at else (1 - x) / (1 - at)

    integral = sum(
        quad(lambda x: shape(x) * np.sin(n * np.pi * x), *ends, epsabs=1e-13)[0]
        for ends in ((0, at), (at, 1))
    )
    outside(
        "partials of a plucked string, by quadrature",
        ours=plucked(n, at, 1.0),
        theirs=2 * integral,
        rtol=1e-12,
        of=1.0,
        **BOOK,
    )


def test_plucked_at_the_middle_and_at_a_fifth(outside):
    """Plucked in the middle a string has odd partials alone, falling as
    1/n^2 with alternating sign; plucked at a fifth it lacks the 5th, 10th ...
    """
    n = np.arange(1, 12)
    middle = plucked(n, 0.5, 1.0)
    odd = [(-1) ** k / (2 * k + 1) ** 2 for k in range(6)]
    outside(
        "odd partials of a string plucked in the middle",
        ours=middle[::2] / middle[0],
        theirs=odd,
        rtol=1e-13,
        **BOOK,
    )
    outside(
        "even partials of a string plucked in the middle",
        ours=middle[1::2],
        theirs=0.0,
        rtol=1e-14,
        of=1.0,
        **BOOK,
    )
    missing = n[np.abs(plucked(n, 0.2, 1.0)) < 1e-15]
    outside(
        "partials missing when plucked at a fifth", theirs="5, 10", ours=", ".join(map(str, missing)), **BOOK
    )


@pytest.mark.parametrize(
    ("diameter", "note", "tension", "coefficient"),
    [(0.254e-3, 329.63, 72.59, 1.323e-5), (0.432e-3, 196.0, 74.17, 1.082e-4)],
)
def test_inharmonicity_of_plain_steel(diameter, note, tension, coefficient, outside):
    """B = pi^3 E d^4 / (64 T l^2), here worked by hand for
    E = 200 GPa, 7850 kg/m^3 and l = 0.648 m.
    """
    mass = 7850 * np.pi / 4 * diameter**2
    taut = 4 * 0.648**2 * note**2 * mass
    assert taut == pytest.approx(tension, rel=1e-3)
    outside(
        "inharmonicity of plain steel strings",
        source="H. Fletcher, J. Acoust. Soc. Am. 36, 203 (1964), formula worked by hand",
        status="published",
        ours=inharmonicity(rigidity(diameter, 200e9), taut, 0.648),
        theirs=coefficient,
        rtol=1e-3,
    )


class Strip:
    """A stiff string between hinges by finite differences, 1 m long, of 1 kg/m, wave speed 1 m/s."""

    def __init__(self, points: int, stiffness: float) -> None:
        h = 1 / points
        d2 = diags([1.0, -2.0, 1.0], [-1, 0, 1], (points - 1, points - 1)) / h**2
        self.x = np.arange(1, points) * h
        self.force = (-d2 + stiffness / np.pi**2 * d2 @ d2).tocsc()  # T u'' - E I u'''' turned over
        fastest = 4 / h**2 + stiffness / np.pi**2 * 16 / h**4
        self.dt = 1.9 / np.sqrt(fastest)

    def move(self, shape, steps, at):
        """Let go at rest; the displacement at one point, after every step."""
        seen = np.empty(steps)
        before, now = None, shape
        for i in range(steps):
            push = self.dt**2 * (self.force @ now)
            before, now = now, now - push / 2 if before is None else 2 * now - before - push
            seen[i] = now[at]
        return seen


def fitted(seen, dt, frequencies):
    """Amplitude of cos(2 pi f t) for each frequency, by least squares."""
    t = dt * np.arange(1, seen.size + 1)
    waves = np.cos(2 * np.pi * np.outer(t, frequencies))
    return np.linalg.lstsq(waves, seen, rcond=None)[0]


def test_a_stiff_string_by_finite_differences(outside):
    """The equation T u'' - E I u'''' = m u_tt, started from the shape under a point force, in time:
    the partials' frequencies and what a pickup sees of each must be those of the sum of partials.
    """
    stiffness, points, pluck, pickup = 1e-3, 160, 32, 43
    strip = Strip(points, stiffness)
    force = np.zeros(points - 1)
    force[pluck - 1] = points  # a unit force at one point
    shape = spsolve(strip.force, force)
    seen = strip.move(shape, 40_000, pickup - 1)
    n = np.arange(1, 9)
    fundamental = 0.5 * np.sqrt(1 + stiffness)
    f = partial_frequencies(fundamental, stiffness, n)
    spectrum = np.abs(np.fft.rfft(seen * np.hanning(seen.size), 2**19))
    hertz = np.fft.rfftfreq(2**19, strip.dt)
    height = pluck / points * (1 - pluck / points)  # of the ideal string under that force
    amplitude = plucked(n, pluck / points, height, stiffness=stiffness) * sensed(n, pickup / points)
    there = np.abs(amplitude) > 1e-4
    near = [np.abs(hertz - each) < 0.1 for each in f[there]]
    peaks = [hertz[window][spectrum[window].argmax()] for window in near]
    # Stiffness moves the 8th by 3.1 %.
    outside("partials of a stiff string", ours=f[there], theirs=peaks, rtol=1.5e-3, unit="Hz", **DIFFERENCES)
    found, whole = fitted(seen[:3000], strip.dt, f), np.abs(amplitude).max()
    outside(
        "what a pickup sees of each partial",
        ours=amplitude,
        theirs=found,
        rtol=2e-3,
        of=whole,
        **DIFFERENCES,
    )


def test_an_ideal_string_step_by_step(outside):
    """At the Courant number 1 finite differences are d'Alembert's exact solution of the wave equation."""
    points, pluck, pickup = 200, 40, 54
    x = np.arange(points + 1) / points
    now = np.where(x < pluck / points, x * points / pluck, (1 - x) / (1 - pluck / points))
    before = now.copy()
    before[1:-1] = (now[2:] + now[:-2]) / 2
    seen = []
    for _ in range(2 * points):
        seen.append(now[pickup])
        after = np.zeros_like(now)
        after[1:-1] = now[2:] + now[:-2] - before[1:-1]
        before, now = now, after
    n, t = np.arange(1, 4000), np.arange(2 * points) / (2 * points)
    partials = plucked(n, pluck / points, 1.0) * sensed(n, pickup / points)
    outside(
        "motion of an ideal string above a pickup, in plucking heights",
        ours=np.cos(2 * np.pi * np.outer(t, n)) @ partials,
        theirs=seen,
        rtol=3e-4,
        of=1.0,
        **DIFFERENCES,
    )
