"""A supply by itself, to scale: phase voltages from N, line voltages as sides; a second supply on top of it."""

from __future__ import annotations

from phasorkit.draw import words
from phasorkit.draw.dial import Wave, decimal
from phasorkit.draw.frame import Frame
from phasorkit.draw.picture import Picture
from phasorkit.draw.style import GREY, INK, PROOF, TEXT, strands
from phasorkit.draw.svg import Canvas, Pen
from phasorkit.supply import CONDUCTORS, Supply

_HEAD = 11.0


def supply_waves(supply: Supply) -> tuple[Wave, ...]:
    """The phase voltages of a supply with their looks: L1, L2, L3 against the star point.

    >>> [wave.name for wave in supply_waves(Supply())]
    ['L1', 'L2', 'L3']
    """
    looks = strands(CONDUCTORS)
    return tuple(Wave(n, complex(v), looks[n]) for n, v in zip(CONDUCTORS, supply.phasors(), strict=True))


def star(supply: Supply, *, other: Supply | None = None) -> Picture:
    """Draw a supply as arrows from N with the triangle of its line voltages, to scale.

    Parameters
    ----------
    supply : Supply
        Single values, not batched.
    other : Supply, optional
        A second supply with the same star point, drawn dashed (G1, G2, G3); what stands between conductors of one
        name is drawn and told.

    Returns
    -------
    Picture
        Lengths are rms volts; a scale bar says how many.

    Examples
    --------
    >>> star(Supply(line_voltage=400)).text.split(". ")[1]
    'Phase voltages from N: L1 231 V, L2 231 V and L3 231 V'
    """
    waves = supply_waves(supply)
    line = float(supply.line_voltage)  # type: ignore[arg-type]
    frame = Frame(width=520.0 if other is None else 640.0, height=400.0, scale=320 / line, origin=260 + 215j)
    canvas = Canvas(frame.width, frame.height)
    title = f"A supply in sequence {words.sequence(supply.sequence)}, to scale"
    canvas.text(14 + 20j, [f"Sequence {words.sequence(supply.sequence)}"], size=TEXT, colour=INK, anchor="start")
    frame.scale_bar(canvas)
    _triangle(canvas, frame, waves)
    if other is not None:
        _second(canvas, frame, waves, supply_waves(other))
    for wave in waves:
        _arrow(canvas, frame, wave)
    canvas.circle(frame.at(0), 4, Pen(GREY, 1.5, fill=GREY))
    canvas.text(frame.at(0) + 18j, ["N"], size=TEXT, colour=GREY)
    text = words.sentences((_clockwise(waves), _volts(waves), "" if other is None else _between(waves, other)))
    return Picture(canvas.render(title=title, text=text), title, text)


def _triangle(canvas: Canvas, frame: Frame, waves: tuple[Wave, ...]) -> None:
    tips = [frame.at(w.phasor) for w in waves]
    canvas.line(tips, Pen(INK, 1.6), closed=True, extra='data-triangle="1"')


def _arrow(canvas: Canvas, frame: Frame, wave: Wave) -> None:
    tip = frame.at(wave.phasor)
    if abs(wave.phasor) * frame.scale < _HEAD:
        return
    canvas.arrow([frame.at(0), tip], wave.strand.pen(3), extra=f'data-arrow="{wave.name}"')
    away = (tip - frame.at(0)) / abs(tip - frame.at(0))
    canvas.text(tip + 18 * away, [wave.name], size=TEXT + 1, colour=wave.strand.colour)


def _second(canvas: Canvas, frame: Frame, waves: tuple[Wave, ...], others: tuple[Wave, ...]) -> None:
    """The other supply's tips, and the volts between conductors of one name."""
    apart = {}
    for wave, second in zip(waves, others, strict=True):
        tip, name = frame.at(second.phasor), second.name.replace("L", "G")
        canvas.arrow([frame.at(0), tip], Pen(GREY, 2, dash="5 4"), extra=f'data-arrow="{name}"')
        away = (tip - frame.at(0)) / abs(tip - frame.at(0))
        canvas.text(tip + 18 * away + 26 * (1 if away.real > -0.1 else -1), [name], size=TEXT + 1, colour=GREY)
        if abs(wave.phasor - second.phasor) > 1e-6 * abs(wave.phasor):
            apart[name] = (frame.at(wave.phasor), tip)
    for k, (a, b) in enumerate(apart.values()):
        shift = 1j * (b - a) / abs(b - a) * (9 if k == 0 else 15)
        canvas.line([a + shift, b + shift], Pen(PROOF.stroke, 2.4, dash="8 4"), extra='data-gap="1"')


def _clockwise(waves: tuple[Wave, ...]) -> str:
    order = sorted((w for w in waves if w.peak > 0), key=Wave.peak_at)
    return f"Clockwise, that is in the order of their peaks: {words.listed(w.name for w in order)}."


def _volts(waves: tuple[Wave, ...]) -> str:
    phase = words.listed(f"{w.name} {decimal(abs(w.phasor))} V" for w in waves)
    pairs = ((0, 1), (1, 2), (2, 0))
    sides = words.listed(
        f"{waves[a].name}–{waves[b].name} {decimal(abs(waves[a].phasor - waves[b].phasor))} V" for a, b in pairs
    )
    return f"Phase voltages from N: {phase}. Line voltages, the sides: {sides}."


def _between(waves: tuple[Wave, ...], other: Supply) -> str:
    gaps = words.listed(
        f"{w.name} to {g.name.replace('L', 'G')} {decimal(abs(w.phasor - g.phasor))} V"
        for w, g in zip(waves, supply_waves(other), strict=True)
    )
    return f"Dashed: a second supply in sequence {words.sequence(other.sequence)}. Between the two: {gaps}."
