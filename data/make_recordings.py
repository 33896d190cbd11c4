"""Makes the invented recordings in data/recordings: nothing in them was measured.

    python data/make_recordings.py

Small on purpose: 8000 samples a second are enough for lines up to 2 kHz.
"""

from pathlib import Path

import numpy as np

from pickupcalc.answers.measurement.rehearsal import hum_signal, sweep_recording
from pickupcalc.answers.measurement.sound_card import Bench
from pickupcalc.parts.recording import write_recording
from pickupcalc.physics.measuring.sweeps import ratio_of, trimmed

FOLDER = Path(__file__).parent / "recordings"
RATE = 8000
HUMS = {  # amplitude of the lowest line, mains in Hz
    "hum_12_both_before": (0.030, 50.013),
    "hum_12_both_after": (0.0012, 49.986),
}
NECK = (6060.0, 2.43, 112e-12, 1.25e6)  # ohm, henry, farad, ohm: Stock no. 12, invented


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    for seed, (name, (level, mains)) in enumerate(HUMS.items()):
        wave = hum_signal(level, seconds=7.0, rate=RATE, mains=mains, noise=3e-4, seed=seed)
        write_recording(FOLDER / f"{name}.wav", wave, RATE, 16)
    sweep = sweep_recording(NECK, Bench(resistor="10 kohm"), seconds=4.0, noise=3e-4, mains=3e-3)
    part, faded = trimmed(sweep, 48_000)
    ratio = ratio_of(part[:, 0], part[:, 1], 48_000, 20.0, 20e3, faded)
    rows = [
        f"{f:.3f},{abs(h):.6g},{np.degrees(np.angle(h)):.4f}"
        for f, h in zip(ratio.frequency, ratio.value, strict=True)
    ]
    head = [
        "# Invented for demonstration: made by make_recordings.py, not measured.",
        "# Voltage across the neck pickup of stock no. 12 over that across 10 kohm in series.",
        "frequency_hz,ratio,phase_deg",
    ]
    (FOLDER / "sweep_12_neck.csv").write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
