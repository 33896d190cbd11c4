import struct

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pickupcalc.errors import InputError
from pickupcalc.parts.recording import open_recording, write_recording

RATE = 48_000
TONE = 0.5 * np.sin(2 * np.pi * 440 * np.arange(4800) / RATE)


def wav(kind, bits, channels, raw, rate=RATE, length=None):
    frame = channels * bits // 8
    return (
        struct.pack("<4sI4s4sIHHIIHH", b"RIFF", 36 + len(raw), b"WAVE", b"fmt ", 16, kind, channels, rate,
                    rate * frame, frame, bits)
        + struct.pack("<4sI", b"data", len(raw) if length is None else length) + raw
    )  # fmt: skip


@pytest.mark.parametrize("bits", [16, 24])
@pytest.mark.parametrize("channels", [1, 2])
def test_what_is_written_is_read(tmp_path, bits, channels):
    samples = np.stack([TONE] * channels, axis=1)
    write_recording(tmp_path / "a.wav", samples, RATE, bits)
    again = open_recording(tmp_path / "a.wav")
    assert (again.rate, again.channels, again.frames, again.bits) == (RATE, channels, 4800, bits)
    np.testing.assert_allclose(again.samples(), samples, atol=2.0**-bits)


@pytest.mark.parametrize(("kind", "bits", "dtype"), [(3, 32, "<f4"), (3, 64, "<f8"), (1, 32, "<i4")])
def test_other_sample_kinds_are_read(tmp_path, kind, bits, dtype):
    raw = (TONE * (1 if kind == 3 else 2.0**31)).astype(dtype).tobytes()
    (tmp_path / "a.wav").write_bytes(wav(kind, bits, 1, raw))
    np.testing.assert_allclose(open_recording(tmp_path / "a.wav").samples()[:, 0], TONE, atol=1e-7)


def test_blocks_join_to_the_whole(tmp_path):
    write_recording(tmp_path / "a.wav", TONE, RATE)
    recording = open_recording(tmp_path / "a.wav")
    pieces = list(recording.blocks(1000, first=100, last=4500))
    np.testing.assert_array_equal(np.concatenate(pieces), recording.samples()[100:4500])


GOOD = wav(1, 16, 1, (TONE * 32767).astype("<i2").tobytes())
NAN = np.where(np.arange(4800) == 7, np.nan, TONE).astype("<f4").tobytes()
BAD = {
    "empty": (b"", "is empty"),
    "text": (b"this is no sound at all, only words", "is not a WAV file"),
    "cut in its header": (GOOD[:30], "is cut off"),
    "cut in its samples": (GOOD[:5000], "is cut off: its header promises"),
    "unfinished recording": (wav(1, 16, 1, GOOD[44:], length=0xFFFFFFFF), "is cut off"),
    "zero samples": (wav(1, 16, 1, b""), "has no samples"),
    "8 bits": (wav(1, 8, 1, bytes(4800)), "has 8 bits"),
    "compressed": (wav(17, 4, 1, bytes(4800)), "holds samples of kind 17"),
    "no channels": (wav(1, 16, 0, bytes(4800)), "0 channels"),
    "a rate of zero": (wav(1, 16, 1, bytes(4800), rate=0), "0 samples per second"),
    "a rate of 4 kHz": (wav(1, 16, 1, bytes(4800), rate=4000), "4000 samples per second"),
    "a rate that was altered": (GOOD[:24] + (44_100).to_bytes(4, "little") + GOOD[28:], "cannot be trusted"),
    "an odd end": (wav(1, 16, 2, bytes(4802)), "ends within a sample"),
    "NaN": (wav(3, 32, 1, NAN), "not numbers"),
    "no samples chunk": (GOOD[:36], "part with the samples is missing"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_files_are_refused_with_their_name(tmp_path, case):
    content, told = BAD[case]
    (tmp_path / "bad.wav").write_bytes(content)
    with pytest.raises(InputError, match=told) as caught:
        open_recording(tmp_path / "bad.wav").samples()
    assert "bad.wav" in str(caught.value)


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        open_recording(tmp_path / "none.wav")


def test_samples_beyond_full_scale_are_not_written(tmp_path):
    with pytest.raises(InputError, match="beyond full scale"):
        write_recording(tmp_path / "a.wav", 3 * TONE, RATE)


@settings(max_examples=150)
@given(
    st.lists(st.tuples(st.integers(0, 47), st.integers(0, 255)), min_size=1, max_size=4), st.integers(0, 60)
)
def test_a_spoilt_header_is_refused_or_read_but_never_more(tmp_path_factory, changes, missing):
    content = bytearray(GOOD[: len(GOOD) - missing])
    for at, byte in changes:
        content[at] = byte
    path = tmp_path_factory.mktemp("spoilt") / "a.wav"
    path.write_bytes(bytes(content))
    try:
        samples = open_recording(path).samples()
    except InputError as error:
        assert "a.wav" in str(error)
    else:
        assert samples.size <= len(content)
