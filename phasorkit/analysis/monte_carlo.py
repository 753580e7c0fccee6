"""Many indicators built at random from parts within their tolerance, on supplies within their window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from phasorkit._checks import whole
from phasorkit.analysis.margins import Margins, varied
from phasorkit.indicators.base import SEQUENCES, Indicator
from phasorkit.phasors import ComplexArray, FloatArray

DISTRIBUTIONS = ("uniform", "normal")
"""Uniform over the whole tolerance, or normal with the tolerance at three standard deviations, clipped there."""

BLOCK = 20_000
"""Samples solved at once: the arrays of one block stay in the processor's cache."""

MOST_SAMPLES = 10_000_000
"""Most samples in one call: some 160 MB for each lamp and sequence."""

Draw = Callable[[], FloatArray]


@dataclass(frozen=True)
class SampleRecord:
    """One lamp in one sequence over all samples: volts [V rms] by share of the samples below, and states by share."""

    sequence: str
    lamp: str
    mean: float
    half_below: float
    below_95: float
    below_999: float
    lowest: float
    highest: float
    dark: float
    unsure: float
    lit: float


def sample_lamp_volts(
    indicator: Indicator,
    *,
    margins: Margins | None = None,
    samples: int = 100_000,
    distribution: str = "uniform",
    seed: int = 1,
) -> dict[str, tuple[FloatArray, ...]]:
    """Lamp volts [V rms] of random copies, by sequence, in the order of the lamps, each of shape (samples,).

    Parameters
    ----------
    indicator : Indicator
        As built; its values are the middle of the parts' tolerance.
    margins : Margins, optional
        Default as for `tolerance_table`.
    samples : int
        How many, from 1 to `MOST_SAMPLES`.
    distribution : "uniform" or "normal"
        Of every part value, frequency and voltage between its edges, and of the unbalance (its size) from none to
        the limit; its angle is any.
    seed : int
        Same seed, same numbers; both sequences see the same copies.

    Raises
    ------
    ValueError
        Samples or seed that are no whole number, too small or too large, unknown distribution.

    Examples
    --------
    >>> from phasorkit.indicators import circuit
    >>> bridge = circuit("divider-bridge").sized(capacitance=4.7e-9, frequency=50, line_voltage=400)
    >>> bool(sample_lamp_volts(bridge, samples=1000)["123"][0].max() < 40)
    True
    """
    phasors = sample_lamp_phasors(
        indicator, margins=margins, samples=samples, distribution=distribution, seed=seed
    )  # fmt: skip
    return {s: tuple(np.abs(v) for v in of_lamps) for s, of_lamps in phasors.items()}


def sample_lamp_phasors(
    indicator: Indicator,
    *,
    margins: Margins | None = None,
    samples: int = 100_000,
    distribution: str = "uniform",
    seed: int = 1,
) -> dict[str, tuple[ComplexArray, ...]]:
    """The phasors [V rms] behind `sample_lamp_volts`, same arguments, errors and shape."""
    if whole(samples, "samples") > MOST_SAMPLES:
        got = samples if samples < 10**18 else "more than memory holds"
        raise ValueError(f"samples must be at most {MOST_SAMPLES}, all are kept in memory, got {got}")
    if isinstance(seed, bool) or not isinstance(seed, int | np.integer) or seed < 0:
        raise ValueError(f"seed must be a whole number from 0, got {seed!r}")
    if distribution not in DISTRIBUTIONS:
        raise ValueError(f"distribution must be one of {', '.join(DISTRIBUTIONS)}, got {distribution!r}")
    blocks = [
        _block(indicator, margins or Margins(), min(BLOCK, samples - start), distribution, [seed, start])
        for start in range(0, samples, BLOCK)
    ]
    lamps = range(len(indicator.lamps))
    return {s: tuple(np.concatenate([block[s][k] for block in blocks]) for k in lamps) for s in SEQUENCES}


def monte_carlo(
    indicator: Indicator,
    *,
    margins: Margins | None = None,
    samples: int = 100_000,
    distribution: str = "uniform",
    seed: int = 1,
) -> tuple[SampleRecord, ...]:
    """Summary of `sample_lamp_volts`, same arguments and errors: one record per lamp and sequence."""
    volts = sample_lamp_volts(indicator, margins=margins, samples=samples, distribution=distribution, seed=seed)
    records = []
    for s in SEQUENCES:
        for lamp, v in zip(indicator.lamps, volts[s], strict=True):
            half, most, nearly_all = (float(q) for q in np.quantile(v, (0.5, 0.95, 0.999)))
            dark, lit = float(np.mean(v < lamp.dark_below)), float(np.mean(v > lamp.lit_above))
            records.append(
                SampleRecord(
                    sequence=s, lamp=lamp.name, mean=float(v.mean()), half_below=half, below_95=most,
                    below_999=nearly_all, lowest=float(v.min()), highest=float(v.max()),
                    dark=dark, unsure=max(1 - dark - lit, 0.0), lit=lit,
                )
            )  # fmt: skip
    return tuple(records)


def _block(
    indicator: Indicator, margins: Margins, samples: int, distribution: str, seed: list[int]
) -> dict[str, tuple[ComplexArray, ...]]:
    """Lamp phasors of some copies, each of shape (samples,)."""
    random = np.random.default_rng(seed)
    draw = _drawer(random, samples, distribution)
    network = indicator.network()
    for e in varied(indicator, margins):
        factor = 1 + margins.percent(indicator, e) / 100 * draw()
        network = network.with_value(e.name, float(np.asarray(e.value)) * factor)
    (v0, v1), (f0, f1) = margins.voltage, margins.frequency
    turned = np.exp(2j * np.pi * random.random(samples))
    supply = replace(
        indicator.supply(),
        line_voltage=indicator.line_voltage * ((v1 + v0) / 2 + (v1 - v0) / 2 * draw()),
        frequency=indicator.frequency * ((f1 + f0) / 2 + (f1 - f0) / 2 * draw()),
        negative=margins.negative * np.abs(draw()) * turned,
    )
    return {s: indicator.on(replace(supply, sequence=s), network=network).lamp_phasors for s in SEQUENCES}


def _drawer(random: np.random.Generator, samples: int, distribution: str) -> Draw:
    """Draws from −1 to 1."""
    if distribution == "uniform":
        return lambda: random.uniform(-1, 1, samples)
    return lambda: np.clip(random.normal(0, 1 / 3, samples), -1, 1)
