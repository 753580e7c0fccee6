"""Known slips of the exercise `two-lamp`, its model for the bench: what each one gives, and the words that teach."""

from __future__ import annotations

from math import pi, sqrt

from phasorkit.course.model import Slip
from phasorkit.course.tasks.two_lamp.values import star_capacitance

RESISTANCE_SLIPS = (
    Slip(
        "one lamp only",
        "This is one lamp. The branch has two of them in series.",
        lambda b, e: b.bench_lamp**2 / b.bench_watts,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the lamps taken side by side",
        "You put the two lamps side by side. In series ohms add up.",
        lambda b, e: b.bench_lamp**2 / b.bench_watts / 2,
        must=True,
    ),
    Slip(
        "both volts squared over one lamp's watts",
        "You squared the volts of both lamps and divided by the watts of one. Two lamps also take twice the watts; or "
        "find the ohms of one and double them.",
        lambda b, e: (2 * b.bench_lamp) ** 2 / b.bench_watts,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the square forgotten",
        "Volts over watts are no ohms. Watts are volts times amperes, and amperes are volts over ohms: so the volts "
        "come in squared.",
        lambda b, e: 2 * b.bench_lamp / b.bench_watts,
        must=True,
    ),
    Slip(
        "amperes in place of ohms",
        "Watts over volts are the amperes. Ohms are volts over amperes: one step more.",
        lambda b, e: b.bench_watts / b.bench_lamp,
        must=True,
    ),
    Slip(
        "watts times volts",
        "You multiplied. Ohms are volts squared OVER watts: of two lamps for the same volts the one with more watts "
        "has fewer ohms.",
        lambda b, e: 2 * b.bench_lamp**2 * b.bench_watts,
    ),
)
CAPACITANCE_SLIPS = (
    Slip(
        "the frequency left out",
        "The supply frequency does not stand in your result. A capacitor lets more through the faster the voltage "
        "swings: f belongs in the denominator.",
        lambda b, e: star_capacitance(b, e) * b.frequency,
        must=True,
    ),
    Slip(
        "the formula of an inductor",
        "This is how many henries an INDUCTOR would need. A capacitor has one over (ω times C).",
        lambda b, e: e["resistance"] / (2 * pi * b.frequency),
        must=True,
    ),
    Slip(
        "as many ohms as half a branch",
        "Your capacitor has the ohms of one lamp, or of the two branches side by side. Side by side is how S sees "
        "them, but the rule of the best ratio compares the capacitor with ONE whole branch.",
        lambda b, e: 2 * star_capacitance(b, e),
        credit=0.5,
        must=True,
    ),
    Slip(
        "as many ohms as two branches",
        "Your capacitor has the ohms of both branches in series. The rule of the best ratio compares it with ONE.",
        lambda b, e: star_capacitance(b, e) / 2,
        credit=0.5,
        must=True,
    ),
    Slip(
        "the ratio of the bridge",
        "The √3 belongs to the null bridge. Two lamps are most unlike where the capacitor has just as many ohms as a "
        "branch.",
        lambda b, e: star_capacitance(b, e) / sqrt(3),
        must=True,
    ),
)
