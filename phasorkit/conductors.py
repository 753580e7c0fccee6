"""Conductor colours and nominal supply systems, as plain data with their sources.

A colour is a habit, not a proof: old and new colours meet in one board, and anybody may have taken the wrong lead.
"""

from __future__ import annotations

from dataclasses import dataclass

from phasorkit.supply import Supply


@dataclass(frozen=True, kw_only=True)
class ConductorColours:
    """Colours of fixed three-phase wiring in one region and period.

    Parameters
    ----------
    region, period : str
    l1, l2, l3, neutral, earth : str
        Colour of each conductor (N: neutral, PE: protective earth).
    source, note : str
        Where it comes from; what to know.
    """

    region: str
    period: str
    l1: str
    l2: str
    l3: str
    neutral: str
    earth: str
    source: str
    note: str = ""

    def __getitem__(self, conductor: str) -> str:
        """Colour of ``L1``, ``L2``, ``L3``, ``N`` or ``PE``; a KeyError lists these."""
        fields = {"L1": self.l1, "L2": self.l2, "L3": self.l3, "N": self.neutral, "PE": self.earth}
        if conductor not in fields:
            raise KeyError(f"conductor must be one of {', '.join(fields)}, got {conductor!r}")
        return fields[conductor]


_GREEN_YELLOW = "green-yellow"
_NEC = "North American practice, from memory (the NEC fixes only neutral and earth)"

COLOURS = {
    "Europe": ConductorColours(
        region="Europe", period="now (HD 308 S2, from 2003 to 2006 on)",
        l1="brown", l2="black", l3="grey", neutral="blue", earth=_GREEN_YELLOW,
        source="IEC 60445 and HD 308 S2, from memory",
        note="The standard wants brown, black and grey for lines but gives no order; brown, black, grey is practice.",
    ),
    "Europe, old": ConductorColours(
        region="Europe", period="until about 2006, German-speaking countries and neighbours",
        l1="black", l2="brown", l3="black", neutral="blue", earth=_GREEN_YELLOW,
        source="HD 308 S1 and national practice, from memory",
        note="Two lines share black: the colour tells nothing of the sequence. Still older: PE red, N grey.",
    ),
    "United Kingdom": ConductorColours(
        region="United Kingdom", period="now (allowed from 2004, alone from 1 April 2006)",
        l1="brown", l2="black", l3="grey", neutral="blue", earth=_GREEN_YELLOW,
        source="BS 7671 as amended 2004, from memory",
        note="Black and blue changed meaning: black was neutral and blue was L3. Mixed boards carry a warning notice.",
    ),
    "United Kingdom, old": ConductorColours(
        region="United Kingdom", period="until 31 March 2006",
        l1="red", l2="yellow", l3="blue", neutral="black", earth=_GREEN_YELLOW,
        source="BS 7671 before its 2004 amendment, from memory",
        note="Protective earth was plain green before the 1970s.",
    ),
    "United States, 120/208 V": ConductorColours(
        region="United States", period="now",
        l1="black", l2="red", l3="blue", neutral="white", earth="green",
        source=_NEC,
        note="Earth may be bare. On a four-wire delta the high leg is orange.",
    ),
    "United States, 277/480 V": ConductorColours(
        region="United States", period="now",
        l1="brown", l2="orange", l3="yellow", neutral="grey", earth="green",
        source=_NEC,
        note="Grey is neutral here and L3 in Europe.",
    ),
    "Canada": ConductorColours(
        region="Canada", period="now",
        l1="red", l2="black", l3="blue", neutral="white", earth="green",
        source="CSA C22.1 (Canadian Electrical Code), from memory",
        note="Red and black stand the other way round than in the United States. Isolated systems: orange, brown, "
        "yellow.",
    ),
    "Australia": ConductorColours(
        region="Australia and New Zealand", period="fixed wiring, usual",
        l1="red", l2="white", l3="dark blue", neutral="black", earth=_GREEN_YELLOW,
        source="AS/NZS 3000, from memory",
        note="The European colours are met too, in cords and imported equipment; there blue is neutral.",
    ),
    "Australia, old": ConductorColours(
        region="Australia and New Zealand", period="until about the 1980s",
        l1="red", l2="yellow", l3="blue", neutral="black", earth="green",
        source="AS 3000 of the time, from memory",
        note="L2 was yellow before it became white; earth plain green.",
    ),
}  # fmt: skip
"""Colours by region, old and new."""


@dataclass(frozen=True, kw_only=True)
class NominalSystem:
    """A nominal three-phase system.

    Parameters
    ----------
    name : str
        Line to neutral / line to line as it is called; one number where there is no neutral.
    line_voltage, frequency : float
        Line to line [V rms], [Hz].
    phase_voltage : float
        Line to neutral as the standard prints it [V rms], rounded there; 0 where there is no neutral.
    earthing : str
        The usual one, in the words of `Supply`.
    where, source : str
    """

    name: str
    line_voltage: float
    phase_voltage: float
    frequency: float
    earthing: str
    where: str
    source: str

    def supply(self, sequence: str = "123") -> Supply:
        """The system as a balanced supply in one sequence.

        >>> SYSTEMS["277/480 V"].supply("132").line_voltage
        480.0
        """
        return Supply(
            line_voltage=self.line_voltage, frequency=self.frequency, sequence=sequence, earthing=self.earthing
        )


_IEC = "IEC 60038, from memory"
_ANSI = "North American practice (ANSI C84.1), from memory"
_SYSTEMS = (
    ("230/400 V", 400.0, 230.0, 50.0, "star", "Europe and most 50 Hz countries", _IEC),
    ("400/690 V", 690.0, 400.0, 50.0, "star", "industry, 50 Hz", _IEC),
    ("220/380 V", 380.0, 220.0, 50.0, "star", "Europe until the 1990s; still usual elsewhere", _IEC),
    ("240/415 V", 415.0, 240.0, 50.0, "star", "United Kingdom and Australia until harmonised; still met", _IEC),
    ("120/208 V", 208.0, 120.0, 60.0, "star", "North America, buildings", _ANSI),
    ("277/480 V", 480.0, 277.0, 60.0, "star", "United States, industry and large buildings", _ANSI),
    ("347/600 V", 600.0, 347.0, 60.0, "star", "Canada, industry and large buildings", _ANSI),
    ("240 V high leg", 240.0, 0.0, 60.0, "side", "North America, delta with one side's centre earthed", _ANSI),
    ("480 V corner", 480.0, 0.0, 60.0, "corner", "North America, older industry: one line is earthed", _ANSI),
    ("480 V isolated", 480.0, 0.0, 60.0, "isolated", "North America, older industry: nothing is earthed", _ANSI),
    ("200 V corner", 200.0, 0.0, 50.0, "corner", "Japan, power circuits; 60 Hz in the west", "practice, from memory"),
)
SYSTEMS = {
    name: NominalSystem(
        name=name, line_voltage=line, phase_voltage=phase, frequency=hz, earthing=earthing, where=where, source=source
    )
    for name, line, phase, hz, earthing, where, source in _SYSTEMS
}
"""Nominal systems by name. In the high-leg system our conductor L3 is the high leg (codes there put it on B)."""
