"""Three-phase supplies as values: what each conductor carries and what each probe touches.

A supply never changes; its methods return another one, so a wiring mistake reads as a sentence:
``Supply(line_voltage=400).reversed().without("L2")``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from phasorkit._checks import phasor, positive
from phasorkit.phasors import ComplexArray, from_components, symmetrical_components

CONDUCTORS = ("L1", "L2", "L3")
"""Line conductors (IEC 60445); a probe carries the name of the conductor it belongs on."""

EARTHINGS = ("star", "isolated", "corner", "side")
"""Earthed star point; nothing earthed; corner L2 earthed; the centre of the side L1-L2 earthed."""

_RIGHT = tuple((name, name) for name in CONDUCTORS)


@dataclass(frozen=True, kw_only=True)
class Supply:
    """A three-phase supply and how three probes are laid on it.

    Parameters
    ----------
    line_voltage : float or array, shape (...)
        Line-to-line voltage of the positive sequence [V rms].
    frequency : float or array, shape (...)
        [Hz].
    sequence : "123" or "132"
        Order in which the conductors named L1, L2, L3 reach their peak.
    earthing : str
        One of `EARTHINGS`; decides what neutral and earth carry.
    negative, zero : complex or array, shape (...)
        Negative and zero sequence voltage as a fraction of the positive sequence (phasor, referred to L1).
    probes : tuple of (probe, conductor)
        What each probe touches; a probe that is missing touches nothing and floats. Use the methods.
    lost : tuple of (conductor, "zero" or "backfed")
        Conductors dead upstream. Use `phase_lost`.

    Raises
    ------
    ValueError
        Values that are not positive and finite, unknown sequence, earthing, probe or conductor.

    Notes
    -----
    Phasors are complex rms values seen from the star point N; L1 of a balanced supply lies at 0°.

    Examples
    --------
    >>> supply = Supply(line_voltage=400, frequency=50)
    >>> [round(float(abs(v)), 1) for v in supply.phasors()[:3]]
    [230.9, 230.9, 230.9]
    >>> sorted(supply.without("L2").sources())
    ['L1', 'L3', 'N', 'PE']
    """

    line_voltage: ArrayLike = 400.0
    frequency: ArrayLike = 50.0
    sequence: str = "123"
    earthing: str = "star"
    negative: ArrayLike = 0.0
    zero: ArrayLike = 0.0
    probes: tuple[tuple[str, str], ...] = _RIGHT
    lost: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        for name, unit in (("line_voltage", "V"), ("frequency", "Hz")):
            positive(getattr(self, name), name, unit)
        for name in ("negative", "zero"):
            phasor(getattr(self, name), name, "fraction of the positive sequence")
        if self.sequence not in ("123", "132"):
            raise ValueError(f"sequence must be '123' or '132', got {self.sequence!r}")
        if self.earthing not in EARTHINGS:
            raise ValueError(f"earthing must be one of {', '.join(EARTHINGS)}, got {self.earthing!r}")
        for probe, touched in self.probes:
            _known(probe, CONDUCTORS, "probe")
            _known(touched, (*CONDUCTORS, "N", "PE"), f"conductor under probe {probe}")
        for conductor, how in self.lost:
            _known(conductor, CONDUCTORS, "lost conductor")
            _known(how, ("zero", "backfed"), f"lost {conductor}")

    # --- what the conductors carry ------------------------------------------------------------------

    def phasors(self) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """Phasors of the conductors L1, L2, L3 against the star point [V rms], lost phases included."""
        unit = np.asarray(self.line_voltage, dtype=float) / np.sqrt(3)
        unit, neg, zero = np.broadcast_arrays(unit, np.asarray(self.negative), np.asarray(self.zero))
        healthy = from_components(np.stack([zero * unit, unit + 0j, neg * unit], axis=-1))
        if self.sequence == "132":
            healthy = healthy[..., [0, 2, 1]]
        volts = {name: healthy[..., k] for k, name in enumerate(CONDUCTORS)}
        lost = dict(self.lost)
        volts |= {name: np.zeros_like(volts[name]) for name in lost}
        held = [volts[name] for name in CONDUCTORS if lost.get(name) != "backfed"]
        for name in (name for name, how in lost.items() if how == "backfed" and held):
            volts[name] = np.asarray(sum(held) / len(held), dtype=complex)
        return volts["L1"], volts["L2"], volts["L3"]

    def neutral(self) -> ComplexArray:
        """Phasor of the neutral conductor against the star point [V rms].

        Star and isolated: the star point itself. Corner: the earthed conductor L2 serves as neutral. Side: the
        centre of L1-L2. It stays there when a conductor is lost, and is 0 V when all three are.
        """
        if self.earthing in ("star", "isolated") or len(dict(self.lost)) == len(CONDUCTORS):
            return np.zeros(np.broadcast_shapes(*map(np.shape, (self.line_voltage, self.negative, self.zero))), complex)
        l1, l2, _ = replace(self, lost=()).phasors()
        return l2 if self.earthing == "corner" else (l1 + l2) / 2

    def sources(self) -> dict[str, ComplexArray]:
        """Known node voltages [V rms] for `Network.solve`: one per probe that touches something, N, and PE.

        A probe that touches nothing is missing (it floats), and so is PE on an isolated supply.
        """
        conductor = dict(zip(CONDUCTORS, self.phasors(), strict=True))
        conductor["N"] = self.neutral()
        if self.earthing != "isolated":
            conductor["PE"] = conductor["N"]
        known = {probe: conductor[touched] for probe, touched in self.probes if touched in conductor}
        return known | {name: conductor[name] for name in ("N", "PE") if name in conductor}

    def unbalance(self) -> ComplexArray:
        """Negative over positive sequence voltage of the conductors, as a phasor ratio [1]; NaN for a dead supply.

        Positive is the sequence the supply is said to have: a balanced one has the ratio 0 either way.
        """
        x = symmetrical_components(np.stack(self.phasors(), axis=-1))
        forward, backward = (x[..., 1], x[..., 2]) if self.sequence == "123" else (x[..., 2], x[..., 1])
        unknown = np.full(np.shape(forward), complex(np.nan, np.nan))
        return np.asarray(np.divide(backward, forward, out=unknown, where=forward != 0))

    # --- other supplies -----------------------------------------------------------------------------

    def reversed(self) -> Supply:
        """The same supply with L2 and L3 exchanged: the other sequence."""
        return replace(self, sequence="132" if self.sequence == "123" else "123")

    def unbalanced(self, *, negative: ArrayLike = 0.0, zero: ArrayLike = 0.0) -> Supply:
        """Add negative and zero sequence voltage, each a fraction (phasor) of the positive sequence."""
        return replace(self, negative=negative, zero=zero)

    def phase_lost(self, conductor: str, *, backfed: bool = False) -> Supply:
        """A conductor dead upstream: held at the star point by its loads, or back-fed to midway between the others.

        Several back-fed ones stand at the mean of those that are left.

        This is not an open probe: the probe still touches the conductor.
        """
        _known(conductor, CONDUCTORS, "conductor")
        return replace(self, lost=(*self.lost, (conductor, "backfed" if backfed else "zero")))

    def without(self, probe: str) -> Supply:
        """A probe that touches nothing: its node floats."""
        _known(probe, CONDUCTORS, "probe")
        return replace(self, probes=tuple(p for p in self.probes if p[0] != probe))

    def neutral_on(self, probe: str) -> Supply:
        """A probe laid on the neutral instead of its conductor."""
        return self._touching(probe, "N")

    def earth_on(self, probe: str) -> Supply:
        """A probe laid on earth instead of its conductor; on an isolated supply it floats."""
        return self._touching(probe, "PE")

    def doubled(self, probe: str, other: str) -> Supply:
        """`probe` laid on the conductor that `other` belongs on."""
        if probe == other:
            raise ValueError(f"doubled needs two different probes, got {probe!r} twice")
        _known(other, CONDUCTORS, "other")
        return self._touching(probe, other)

    def swapped(self, probe: str, other: str) -> Supply:
        """Two probes exchanged: each touches what the other touched, or nothing if that floated."""
        for name, what in ((probe, "probe"), (other, "other")):
            _known(name, CONDUCTORS, what)
        partner = {probe: other, other: probe}
        return replace(self, probes=tuple(sorted((partner.get(p, p), touched) for p, touched in self.probes)))

    def moved_round(self, steps: int) -> Supply:
        """Every probe laid `steps` conductors further on: the sequence stays; what is earthed lies under another."""
        if isinstance(steps, bool) or not isinstance(steps, int | np.integer):
            raise ValueError(f"steps must be a whole number, got {steps!r}")
        turned = {c: CONDUCTORS[(k + steps) % len(CONDUCTORS)] for k, c in enumerate(CONDUCTORS)}
        return replace(self, probes=tuple((p, turned.get(touched, touched)) for p, touched in self.probes))

    def dead(self) -> Supply:
        """All three conductors dead: every probe touches 0 V."""
        return replace(self, lost=tuple((name, "zero") for name in CONDUCTORS))

    def _touching(self, probe: str, conductor: str) -> Supply:
        _known(probe, CONDUCTORS, "probe")
        laid = dict(self.probes) | {probe: conductor}
        return replace(self, probes=tuple(sorted(laid.items())))


def _known(value: str, names: tuple[str, ...], what: str) -> None:
    if value not in names:
        raise ValueError(f"{what} must be one of {', '.join(names)}, got {value!r}")
