"""Values as people write them: what is read, what is refused, and that nothing else happens."""

import math
import time
from fractions import Fraction

import numpy as np
import pytest
from eseries import E96, series
from hypothesis import given
from hypothesis import strategies as st
from quantiphy import Quantity

from phasorkit.quantities import UNITS, QuantityError, accepted, code, has_unit_or_prefix, parse, positive, render

# Spellings met in the trade (common practice); spaces between groups of three digits and powers of ten as in the SI
# brochure, 9th edition, 5.4.4 and 5.4.5 (from memory); prefixes in words as there in table 7, "kilohm" and "megohm"
# with one vowel as NIST SP 811, 9.3, has them (both from memory); IEC 60062 codes stand in tests/reference/codes.csv.
READ = [
    ("390k", "Ω", 390e3), ("390 k", "Ω", 390e3), ("  390 k ", "Ω", 390e3), ("390K", "Ω", 390e3), ("390 kΩ", "Ω", 390e3),
    ("390 kΩ", "Ω", 390e3), ("390KΩ", "Ω", 390e3), ("390 kohm", "Ω", 390e3), ("390 kOhms", "Ω", 390e3),
    ("390R", "Ω", 390), ("390 R", "Ω", 390), ("390r", "Ω", 390), ("4.7 kR", "Ω", 4700), ("4k7 Ω", "Ω", 4700),
    ("4L7", "Ω", 4.7e-3), ("10M", "Ω", 10e6), ("3.9e5", "Ω", 390e3), ("3.9E5 Ω", "Ω", 390e3), ("0,47 MΩ", "Ω", 470e3),
    ("4n7", "F", 4.7e-9), ("4n7F", "F", 4.7e-9), ("4n7 F", "F", 4.7e-9), ("4.7nF", "F", 4.7e-9),
    ("4,7 nF", "F", 4.7e-9),
    ("4.7 nf", "F", 4.7e-9), ("4.7e-9", "F", 4.7e-9), ("1e-9F", "F", 1e-9), ("4.7 nF", "F", 4.7e-9),
    ("4.7 µF", "F", 4.7e-6), ("4.7 μF", "F", 4.7e-6), ("4.7uF", "F", 4.7e-6), ("4μ7", "F", 4.7e-6),
    ("4u7", "F", 4.7e-6),
    ("100 mH", "H", 0.1), ("50", "Hz", 50), ("50 Hz", "Hz", 50), ("50hz", "Hz", 50), ("1 kHz", "Hz", 1000),
    ("400 V", "V", 400), ("400 volts", "V", 400), ("0,4 kV", "V", 400), ("400 Vac", "V", 400), ("346.4", "V", 346.4),
    ("−30°", "°", -30), ("-30 deg", "°", -30), ("250 mW", "W", 0.25), ("0.59 mA", "A", 0.59e-3), ("2 ms", "s", 2e-3),
    (",5", "V", 0.5), (".5", "V", 0.5), ("5.", "V", 5), ("+5", "V", 5), ("0,470", "V", 0.47), ("390.000", "Ω", 390),
    ("390 000", "Ω", 390e3), ("390\u202f000 Ω", "Ω", 390e3), ("1 000,5 V", "V", 1000.5), ("4 700 pF", "F", 4.7e-9),
    ("-1 234 567", "V", -1234567), ("3.9·10^5", "Ω", 390e3), ("3,9 * 10**5 Ω", "Ω", 390e3), ("4.7×10⁻⁹ F", "F", 4.7e-9),
    ("390 kilohms", "Ω", 390e3), ("390 kiloohm", "Ω", 390e3), ("0.39 megohm", "Ω", 390e3),
    ("0,39 Megaohms", "Ω", 390e3), ("2 milliseconds", "s", 2e-3),
    ("4.7 nanofarad", "F", 4.7e-9), ("4700 picofarads", "F", 4.7e-9), ("0.0047 microfarad", "F", 4.7e-9),
    ("1.2 milliamps", "A", 1.2e-3), ("1.2 milliamperes", "A", 1.2e-3), ("0.4 kilovolts", "V", 400),
    ("4.7*10^(-9)", "F", 4.7e-9), ("3.9 x 10^(5) ohms", "Ω", 390e3),
    ("4.7x10^-9", "F", 4.7e-9), ("4.7 · 10^−9", "F", 4.7e-9), ("346.4 V rms", "V", 346.4), ("231 Veff", "V", 231),
    ("390'000", "Ω", 390e3), ("390’000 Ω", "Ω", 390e3), ("1'234'567.5", "V", 1234567.5), ("≈390k", "Ω", 390e3),
    ("~ 4,7 nF", "F", 4.7e-9), ("4N7", "F", 4.7e-9), ("100N", "F", 1e-7), ("4.7 NF", "F", 4.7e-9),
    ("N47", "F", 4.7e-10),
    ("10 PF", "F", 1e-11), ("4U7", "F", 4.7e-6), ("10U", "H", 1e-5), ("+4n7", "F", 4.7e-9), ("-4k7", "Ω", -4700),
    ("1T5", "Ω", 1.5e12), ("p47", "F", 4.7e-13), ("47 F", "F", 47),
    (400, "V", 400), (4.7e-9, "F", 4.7e-9), (np.float64(50), "Hz", 50), (np.int64(50), "Hz", 50),
    (Fraction(1, 2), "V", 0.5),
]  # fmt: skip

REFUSED = [
    ("", "Ω"), (" ", "Ω"), ("k", "Ω"), ("R", "Ω"), ("nF", "F"), ("abc", "V"), ("4.7.1", "Ω"),
    ("1_000", "Ω"), ("39'0000", "Ω"), ("390'00", "Ω"), ("'390", "Ω"), ("390k≈", "Ω"), ("≈", "Ω"),
    ("≈≈4k7", "Ω"),
    ("+-4k7", "Ω"), ("47f", "F"), ("4.7 f", "F"), ("1e-9f", "F"), ("4N7", "Ω"), ("10U", "V"), ("4N7 NF", "F"),
    ("0x10", "Ω"), ("1/2", "Ω"), ("$5", "V"), ("5 %", "V"), ("1e", "Ω"), ("1E", "Ω"),
    ("1 a", "Ω"), ("1 c", "F"), ("39 0000", "Ω"), ("390 00", "Ω"), ("3 90", "Ω"), ("1 000 00", "Ω"), ("10^5", "Ω"),
    ("3*10^5*2", "Ω"), ("2 x 100k", "Ω"), ("2x100", "Ω"), ("4.7·10-9", "F"), ("3.9·10^5k", "Ω"), ("4⁵", "Ω"),
    ("1e3k", "Ω"), ("4k7k", "Ω"), ("4n7 nF", "F"), ("390R", "F"), ("4R7", "V"),
    ("4L7", "H"),
    ("400 V", "Ω"), ("4.7 nF", "Ω"), ("390 kΩ", "F"), ("50 Hz", "V"), ("390k 1%", "Ω"), ("١٢", "Ω"),
    ("390 kilo", "Ω"), ("390 kilofarad", "Ω"), ("4k7 kilohm", "Ω"), ("3*10^(5", "Ω"), ("3*10^5)", "Ω"),
    ("４.７", "Ω"), ("inf", "V"), ("nan", "V"), ("1e400", "V"), (math.inf, "V"), (math.nan, "V"), (10**400, "V"),
    (True, "V"), (None, "V"), (1j, "V"), (b"5", "V"), ([5], "V"), (np.array([1, 2]), "V"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "unit", "value"), READ)
def test_read(text, unit, value) -> None:
    """Prefixes, codes, decimal comma, three Greek letters for micro and two for ohm, with and without unit."""
    assert parse(text, unit) == pytest.approx(value, rel=1e-12)
    assert type(parse(text, unit)) is float


@pytest.mark.parametrize(("text", "unit"), REFUSED)
def test_refused(text, unit) -> None:
    """The message names the argument, says what came and shows what is accepted, in one line."""
    with pytest.raises(QuantityError) as caught:
        parse(text, unit, name="resistance")
    message = str(caught.value)
    assert message.startswith("resistance: ")
    assert accepted(unit) in message
    assert "\n" not in message
    assert len(message) < 250


@pytest.mark.parametrize("text", ["4,700", "390,000", "1,234 k", "4,700.5", "4.700,5", "1,000,000", "12,345e3"])
def test_a_comma_that_may_mean_thousands_is_refused(text) -> None:
    """4,700 is 4700 in one country and 4.7 in another: asking is safer than guessing."""
    with pytest.raises(QuantityError, match="can be read in two ways"):
        parse(text, "Ω")


@given(st.text(max_size=40) | st.text("0123456789.,eEkKmMnpuµRL+- ΩFVHz", max_size=12), st.sampled_from(list(UNITS)))
def test_any_text_is_read_or_refused(text, unit) -> None:
    """Nothing but a finite float or a QuantityError comes back, whatever is typed."""
    refusal = ""
    try:
        value = parse(text, unit)
    except QuantityError as error:
        refusal = str(error)
    assert "accepted: a value in" in refusal if refusal else math.isfinite(value)


@pytest.mark.parametrize(
    "text", ["9" * 100_000, "4" + " " * 100_000 + "x", "9 " * 50_000, "-" * 100_000, "1," * 50_000]
)
def test_long_nonsense_is_refused_at_once(text) -> None:
    """A pasted page costs neither time nor a page of error."""
    start = time.process_time()  # this process's own time: what else the machine does is not in it
    with pytest.raises(QuantityError) as caught:
        parse(text, "F")
    assert time.process_time() - start < 2
    assert len(str(caught.value)) < 250


@given(st.floats(1e-12, 1e12), st.sampled_from([u for u in UNITS if u != "°"]))
def test_what_is_written_is_read_back(value, unit) -> None:
    """To the four digits that are written; quantiphy reads the same."""
    text = render(value, unit)
    assert parse(text, unit) == pytest.approx(value, rel=6e-4)
    assert float(Quantity(text.replace("µ", "u"))) == pytest.approx(parse(text, unit), rel=1e-12)


@pytest.mark.parametrize("power", range(-12, 10))
def test_codes_keep_every_preferred_value(power) -> None:
    """All of E96 (copy: package eseries) comes back exactly from its letter code, three digits and all."""
    for mantissa in series(E96):
        value = float(f"{mantissa}e{power - 2}")
        unit = "Ω" if value >= 0.1 else "F"
        assert parse(code(value), unit) == pytest.approx(value, rel=1e-9)
        assert len(code(value)) <= 5


@pytest.mark.parametrize(("value", "text"), [(4.7e-13, "p47"), (2.2e-14, "p022"), (9.996e-13, "p9996")])
def test_less_than_a_picofarad(value, text) -> None:
    """IEC 60062 (from memory): p is the smallest letter, 0.47 pF is p47; it is read back as the same value."""
    assert code(value) == text
    assert parse(text, "F") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("value", [1.5e12, 4.7e13])
def test_more_than_a_teraohm(value) -> None:
    """IEC 60062 (from memory): T is the largest letter, 1.5 TΩ is 1T5."""
    assert parse(code(value), "Ω") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("value", [0, -5, math.nan, math.inf, "4k7", None, [1, 2], 1j])
def test_what_has_no_code_is_refused(value) -> None:
    """Codes are for parts: positive and finite."""
    with pytest.raises(ValueError, match=r"value must be positive and finite \[Ω\] or \[F\], got"):
        code(value)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (999.96, "V", "1 kV"), (999.94, "V", "999.9 V"), (0, "V", "0 V"), (-3.2e-5, "A", "-32 µA"),
        (4.7e-6, "F", "4.7 µF"),
        (30.001, "°", "30°"), (390e3, "Ω", "390 kΩ"),
    ],
)  # fmt: skip
def test_written_as_the_trade_writes(value, unit, text) -> None:
    """Prefix, a space, the unit's symbol (ISO 80000-1), micro as µ; degrees stand close."""
    assert render(value, unit) == text


def test_range() -> None:
    """Outside the range: value, unit and both limits are said; the limits themselves pass."""
    assert positive("10 Hz", "Hz", name="frequency", low=10, high=1000) == 10
    assert positive("1 kHz", "Hz", name="frequency", low=10, high=1000) == 1000
    for text, shown in (("9.99", "9.99 Hz"), ("2k", "2 kHz"), ("-50", "-50 Hz"), ("0", "0 Hz")):
        with pytest.raises(QuantityError, match=f"frequency: '{text}' is {shown}; accepted: 10 Hz to 1 kHz"):
            positive(text, "Hz", name="frequency", low=10, high=1000)


@pytest.mark.parametrize(
    ("text", "tells"),
    [
        ("4.7", False),
        (" 4,7 ", False),
        ("4 700", False),
        ("4.7·10^-9", True),
        ("-5", False),
        ("4n7", True),
        ("5 F", True),
    ],
)  # fmt: skip
def test_a_bare_number_is_noticed(text, tells) -> None:
    """So that 4.7 is not taken for 4.7 farads."""
    assert has_unit_or_prefix(text) is tells


def test_an_unknown_unit_is_the_programmers_mistake() -> None:
    """The message lists the units there are."""
    with pytest.raises(KeyError, match="unit must be one of Ω, F, H, V, A, W, Hz, °, s, got 'lm'"):
        parse("5", "lm")
