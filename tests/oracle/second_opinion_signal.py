"""Second opinions on histories of acceleration: scipy.signal asked the same questions.

Each question takes the path of a JSON file with the samples and the settings.
"""

import json


def _read(path):
    import numpy as np

    with open(path, encoding="utf-8") as file:
        given = json.load(file)
    return given, np.array(given["samples"])


def filtered(path):
    """scipy.signal.butter and filtfilt: two-pole Butterworth both ways, started settled, no padding."""
    from scipy import signal

    given, samples = _read(path)
    b, a = signal.butter(2, given["design_hz"], fs=1 / given["step_s"])
    return signal.filtfilt(b, a, samples, padtype=None).tolist()


def shock_spectrum(path):
    """scipy.signal.lsim: largest absolute acceleration of a base-moved oscillator, input in straight lines.

    The recording is followed by rest for one period and a half of each natural frequency.
    """
    import numpy as np
    from scipy import signal

    given, samples = _read(path)
    step, zeta = given["step_s"], given["damping"]
    answers = []
    for frequency in given["frequencies_hz"]:
        omega = 2 * np.pi * frequency
        after = int(1.5 / frequency / step) + 2
        whole = np.concatenate([[0.0], samples, np.zeros(after)])
        parts = max(16, int(np.ceil(step * frequency * 128)))
        times = np.arange((len(whole) - 1) * parts + 1) * (step / parts)
        fine = np.interp(times, np.arange(len(whole)) * step, whole)
        system = ([2 * zeta * omega, omega**2], [1, 2 * zeta * omega, omega**2])
        _, response, _ = signal.lsim(system, fine, times)
        answers.append([float(response.max()), float(-response.min())])
    return answers


def welch(path):
    """scipy.signal.welch: one-sided density, periodic Hann, mean taken off each segment."""
    from scipy import signal

    given, samples = _read(path)
    length = given["segment"]
    _, density = signal.welch(
        samples, fs=1 / given["step_s"], nperseg=length, noverlap=int(given["overlap"] * length), detrend="constant"
    )
    return density.tolist()


def random_response(path):
    """scipy.integrate.quad: levels of an oscillator under a spectrum of straight lines on log-log paper."""
    import numpy as np
    from scipy import integrate

    with open(path, encoding="utf-8") as file:
        given = json.load(file)
    points = np.log(np.array(given["points"]))
    low, high = points[0, 0], points[-1, 0]
    answers = []
    for natural, zeta in given["oscillators"]:

        def density(u):
            f = np.exp(u)
            r = f / natural
            d = (2 * zeta * r) ** 2
            return f * np.exp(np.interp(u, points[:, 0], points[:, 1])) * (1 + d) / ((1 - r * r) ** 2 + d)

        breaks = sorted({float(u) for u in points[1:-1, 0]} | ({np.log(natural)} if low < np.log(natural) < high else set()))
        square, _ = integrate.quad(density, low, high, points=breaks, limit=500, epsrel=1e-11)
        answers.append(float(np.sqrt(square)))
    return answers
