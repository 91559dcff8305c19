"""What samples sound like, measured with numpy and nothing of the project: pitches and onsets.

The pitch is found by the difference function of A. de Cheveigné and H. Kawahara (J. Acoust. Soc. Am. 111(4), 2002)
and made precise by the advance of the fundamental's phase; onsets by the growth of the logarithmic spectrum.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

RATE = 44_100
LOWEST, HIGHEST = 60, 4000
DIP = 0.15
FRAME, HOP, LAG = 1024, 44, 6
ONSET, APART = 0.3, 25
FRAME_BIAS = 0.008
"""Seconds by which the growth of a frame's spectrum runs ahead of the onset within it, as sines show."""

Samples = NDArray[np.float64]


def pitch(samples: Samples) -> float:
    """The fundamental in hertz; of at least two of its periods."""
    wave = samples - samples.mean()
    half = len(wave) // 2
    size = 1 << (2 * len(wave) - 1).bit_length()
    spectrum = np.conj(np.fft.rfft(wave[:half], size)) * np.fft.rfft(wave, size)
    energy = np.concatenate([[0.0], np.cumsum(wave**2)])
    lags = np.arange(half + 1)
    difference = energy[half] + energy[half + lags] - energy[lags] - 2 * np.fft.irfft(spectrum, size)[: half + 1]
    mean = np.cumsum(difference[1:]) / lags[1:]
    relative = np.concatenate([[1.0], difference[1:] / np.maximum(mean, 1e-12)])
    first = RATE // HIGHEST
    dips = np.flatnonzero(relative[first : RATE // LOWEST] < DIP)
    lag = first + (int(dips[0]) if len(dips) else int(np.argmin(relative[first : RATE // LOWEST])))
    while lag + 1 < half and relative[lag + 1] < relative[lag]:
        lag += 1
    before, here, after = difference[lag - 1], difference[lag], difference[min(lag + 1, half)]
    bend = before - 2 * here + after
    rough = RATE / (lag + (0.5 * (before - after) / bend if bend else 0.0))
    return _refined(wave, rough)


def _refined(wave: Samples, hertz: float) -> float:
    width = min(len(wave) // 2, round(8 * RATE / hertz))
    window = np.hanning(width)

    def phasor(start: int) -> complex:
        turn = np.exp(-2j * np.pi * hertz * np.arange(start, start + width) / RATE)
        return complex((wave[start : start + width] * window * turn).sum())

    hop = round(RATE / hertz)
    while hop + width <= len(wave):
        hertz += float(np.angle(phasor(hop) / phasor(0))) / (2 * np.pi) * RATE / hop
        hop *= 2
    return hertz


def cents(hertz: float, midi: float, reference: float = 440.0) -> float:
    """How far a frequency lies above a pitch (A4 is 69, `reference` hertz: ISO 16:1975)."""
    return float(1200 * np.log2(hertz / reference) - 100 * (midi - 69))


def heard_cents(samples: Samples, start: float, end: float, midi: float, reference: float = 440.0) -> float:
    """How far what sounds between two moments, in seconds, lies above a pitch."""
    return cents(pitch(samples[round(start * RATE) : round(end * RATE)]), midi, reference)


def onsets(samples: Samples) -> list[float]:
    """When something is struck, in seconds."""
    silence = np.zeros(RATE // 10)
    wave = np.concatenate([silence, samples])
    frames = np.lib.stride_tricks.sliding_window_view(wave, FRAME)[::HOP]
    spectrum = np.log1p(300 * np.abs(np.fft.rfft(frames * np.hanning(FRAME), axis=1)))
    growth = np.maximum(0, spectrum[LAG:] - spectrum[:-LAG]).mean(axis=1)
    peaks = [
        place
        for place in range(1, len(growth) - 1)
        if growth[place] >= ONSET and growth[place] == growth[max(0, place - APART) : place + APART + 1].max()
    ]
    return [float((place + LAG / 2) * HOP + FRAME / 2) / RATE - 0.1 + FRAME_BIAS for place in peaks]


def loudness(samples: Samples, start: float, end: float) -> float:
    """The root mean square between two moments, in seconds."""
    return float(np.sqrt(np.mean(samples[round(start * RATE) : round(end * RATE)] ** 2)))
