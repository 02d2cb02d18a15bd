#!/usr/bin/python3
"""Flicker metrics of 180 s of light at 20 kS/s with numpy and scipy, straightforwardly: a yardstick for the bench.

Prints the figures and the times of five runs.
"""
import sys
import time

import numpy as np
from scipy import fft, signal

RATE, SECONDS, FREQUENCY = 20_000, 180, 100.0


def light():
    rng = np.random.default_rng(1)
    t = np.arange(RATE * SECONDS) / RATE
    return 1 + 0.2 * np.sin(2 * np.pi * FREQUENCY * t) + 0.001 * rng.standard_normal(t.size)


def modulation(x):
    high, low = x.max(), x.min()
    return (high - low) / (high + low)


def flicker_index(x, frequency):
    whole = int(np.floor(x.size * frequency / RATE) * RATE / frequency)
    part = x[:whole]
    mean = part.mean()
    return np.abs(part - mean).mean() / (2 * mean)


def spectrum(x):
    window = signal.get_window("hann", x.size)
    mean = x.mean()
    amplitude = np.abs(fft.rfft((x - mean) * window)) * 2 / window.sum() / mean
    return fft.rfftfreq(x.size, 1 / RATE), amplitude


def svm(frequency, amplitude):
    band = (frequency >= 80) & (frequency <= 2000)
    f, a = frequency[band], amplitude[band]
    peaks, _ = signal.find_peaks(a, height=1e-4)
    return np.sum((a[peaks] / (2.865e-5 * f[peaks] ** 1.543 + 0.225)) ** 3.7) ** (1 / 3.7)


def pst(x):
    x = x / x.mean() - 1
    slow = signal.decimate(x, 10, ftype="fir", zero_phase=True)
    rate = RATE / 10
    sos = [
        signal.butter(1, 0.05, "high", fs=rate, output="sos"),
        signal.butter(6, 35, "low", fs=rate, output="sos"),
        signal.tf2sos(
            *signal.bilinear(
                [0.041661, 44.758, 2715.6, 29839, 0], [1, 196.32, 11781, 534820, 3505380], rate
            )
        ),
    ]
    y = signal.sosfilt(np.concatenate(sos), slow) ** 2  # settles in the first 10 s
    p = 1.1016e6 * signal.sosfilt(signal.butter(1, 1 / (2 * np.pi * 0.3), fs=rate, output="sos"), y)
    p = p[int(10 * rate) :]
    level = lambda *q: np.mean(np.percentile(p, 100 - np.array(q)))
    return np.sqrt(
        0.0314 * level(0.1)
        + 0.0525 * level(0.7, 1, 1.5)
        + 0.0657 * level(2.2, 3, 4)
        + 0.28 * level(6, 8, 10, 13, 17)
        + 0.08 * level(30, 50, 80)
    )


def all_of(x):
    frequency, amplitude = spectrum(x)
    f1 = frequency[amplitude.argmax()]
    m = modulation(x)
    limit = 0.0008 * f1 if f1 >= 90 else 0.00025 * f1
    return m, flicker_index(x, f1), m / limit, svm(frequency, amplitude), pst(x)


record = light()
record.astype("<f8").tofile(sys.argv[1]) if len(sys.argv) > 1 else None
runs = []
for _ in range(5):
    start = time.perf_counter()
    figures = all_of(record)
    runs.append(time.perf_counter() - start)
for name, figure in zip(("modulation", "flicker-index", "ieee1789-low-risk", "svm", "pst-lm"), figures):
    print(f"{name} {figure:.6f}")
print("runs:", *(f"{run * 1000:.0f}" for run in runs), "ms")
