"""Exercise `sequence`: readings by a second way, the whole way after one slip, forms, wrong ideas named."""

from __future__ import annotations

import math
from itertools import permutations

import numpy as np
import pytest
from course_cases import briefs, right_answers, with_answer

from phasorkit.conductors import COLOURS
from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks.sequence import HABITS, SUPPLIES, values
from phasorkit.course.tasks.sequence.readings import SOCKETS, TERMINALS, angles, exchanged, middle, tenths, verdict

TASK = task("sequence")
ME = draw_brief(TASK, "me", "")
RIGHT_ONES = right_answers(TASK, ME)
OWN = dict(zip(TERMINALS, ("L1", "L2", "L3"), strict=True))


def mark_of(name: str, answer: PlainData, **others: PlainData) -> Mark:  # type: ignore[no-untyped-def]
    """The mark of one answer, the other answers as given (not answered if left out)."""
    return judge(TASK, ME, name, {**others, name: answer})


# --- right values by a second way ------------------------------------------------------------------------


def rises(touched: dict[str, str], seen_from: str, sequence: str, frequency: float) -> dict[str, float]:
    """When each terminal rises through zero after T1 does [s], by looking at 200 000 moments of sine waves."""
    moments = np.arange(200_000) / 200_000 / frequency
    order = {"L1": 0, "L2": 1, "L3": 2} if sequence == "123" else {"L1": 0, "L3": 1, "L2": 2}
    wave = {c: np.sin(2 * np.pi * (frequency * moments - k / 3)) for c, k in order.items()} | {"N": 0 * moments}
    found = {}
    for terminal in TERMINALS:
        seen = wave[touched[terminal]] - wave[seen_from]
        (at,) = np.flatnonzero((seen <= 0) & (np.roll(seen, -1) > 0))
        found[terminal] = moments[at]
    return {t: (found[t] - found["T1"]) % (1 / frequency) for t in TERMINALS}


WIRINGS = [
    pytest.param(touched, seen_from, sequence)
    for sequence in ("123", "132")
    for touched, seen_from in (
        *((dict(zip(TERMINALS, leads, strict=True)), "N") for leads in permutations(OWN.values())),
        *((OWN | {t: "N"}, OWN[t]) for t in TERMINALS),
    )
]


@pytest.mark.parametrize(("touched", "seen_from", "sequence"), WIRINGS)
def test_angles_agree_with_waves_looked_at_in_time(touched: dict[str, str], seen_from: str, sequence: str) -> None:
    """Second method, for every arrangement of the lines and for a line and N exchanged: no phasor in it."""
    late = angles(touched, seen_from=seen_from, sequence=sequence)
    for terminal, seconds in rises(touched, seen_from, sequence, 50.0).items():
        gap = abs(late[terminal] - 360 * 50 * seconds) % 360
        assert min(gap, 360 - gap) < 0.01


def test_a_third_of_a_period_in_milliseconds() -> None:
    """120° are 6.67 ms at 50 Hz and 5.56 ms at 60 Hz (facts of the trade, common practice)."""
    assert [tenths(120, f) for f in (50, 60)] == [67, 56]
    assert [tenths(240, f) for f in (50, 60)] == [133, 111]


def test_three_arrangements_of_the_leads_are_one_ring() -> None:
    """Three of the six ways to lay three leads keep the sequence, three turn it round (common practice)."""
    for leads in permutations(OWN.values()):
        late = angles(dict(zip(TERMINALS, leads, strict=True)), seen_from="N", sequence="123")
        same_ring = "".join(leads) in "L1L2L3L1L2"
        assert verdict(late["T2"], late["T3"]) == ("1-2-3" if same_ring else "1-3-2")


@pytest.mark.parametrize("terminal", TERMINALS)
@pytest.mark.parametrize("sequence", ["123", "132"])
def test_a_line_and_the_neutral_exchanged_bunch_the_three(terminal: str, sequence: str) -> None:
    """Seen from a corner of an equal-sided triangle the others stand 60° apart and its centre midway (geometry)."""
    late = angles(OWN | {terminal: "N"}, seen_from=OWN[terminal], sequence=sequence)
    assert verdict(late["T2"], late["T3"]) == "fault"
    assert middle(late["T2"], late["T3"]) == terminal
    signed = sorted((angle + 180) % 360 - 180 for angle in late.values())
    assert signed[-1] - signed[0] == pytest.approx(60, abs=1e-6)


@pytest.mark.parametrize("brief", briefs(TASK)[::4], ids=lambda b: f"{b.learner}")
def test_right_values_agree_with_the_readings_worked_by_hand(brief: Brief) -> None:
    """Second method: per cent of the period, triangle by its height, the six orders tried one by one."""
    right = truths(TASK, brief)
    period = 1 / brief.frequency
    for (socket, terminal), late in right["degrees"].items():
        part = getattr(brief, f"{socket}_{terminal}".lower()) / period
        assert late == pytest.approx(100 * part * 3.6, rel=1e-12)
        assert 0 <= late < 360
    assert sorted(right["verdict"].values()) == ["1-2-3", "1-3-2", "fault"]
    assert right["line"] == pytest.approx(2 * brief.phase_volts * math.sin(math.radians(60)), rel=1e-12)
    assert sorted(right["fault_volts"].values()) == pytest.approx([brief.phase_volts, right["line"], right["line"]])
    (backwards,) = (s for s, found in right["verdict"].items() if found == "1-3-2")
    first, second = right["swap"].split()
    late = {t: getattr(brief, f"feeder_{t.lower()}") for t in TERMINALS}
    late[first], late[second] = late[second], late[first]
    assert late["T1"] == 0.0
    assert late["T2"] == pytest.approx(period / 3, abs=1.6e-4)
    assert late["T3"] == pytest.approx(2 * period / 3, abs=1.6e-4)
    assert backwards in SOCKETS


@pytest.mark.parametrize("frequency", [50.0, 60.0])
def test_a_reading_that_is_off_by_one_changes_no_answer(frequency: float) -> None:
    """Every wiring, every reading one or two tenths off (record and eye): verdict and terminal stay."""
    for touched, seen_from, sequence in (p.values for p in WIRINGS):
        late = angles(touched, seen_from=seen_from, sequence=sequence)
        for a in (-2, 0, 2):
            for b in (-2, 0, 2):
                t2, t3 = ((tenths(late[t], frequency) + k) * 0.036 * frequency for t, k in (("T2", a), ("T3", b)))
                assert verdict(t2, t3) == verdict(late["T2"], late["T3"])
                if seen_from != "N":
                    assert middle(t2, t3) == middle(late["T2"], late["T3"])


def test_exchanged_names_pairs_and_rings() -> None:
    """Right, three exchanges, two rings."""
    thirds = dict(enumerate((0.0, 120.0, 240.0)))
    said = {p: exchanged({t: thirds[k] for t, k in zip(TERMINALS, p, strict=True)}) for p in permutations(range(3))}
    assert said[0, 1, 2] == "none"
    assert (said[1, 0, 2], said[0, 2, 1], said[2, 1, 0]) == ("T1 T2", "T2 T3", "T1 T3")
    assert said[1, 2, 0] == said[2, 0, 1] == "all"


def test_colours_with_two_meanings_are_those_of_the_standards() -> None:
    """Black and blue in old and new United Kingdom wiring carry a warning notice in BS 7671 (from memory)."""
    double = {
        pair: {c for n in pair for c in (COLOURS[n].l1, COLOURS[n].l2, COLOURS[n].l3, COLOURS[n].neutral)
               if values.meaning(c, pair) == "either"}
        for pair in HABITS
    }  # fmt: skip
    assert double["United Kingdom, old", "United Kingdom"] == {"black", "blue"}
    assert double["United States, 277/480 V", "Europe"] == {"grey"}
    assert double["Canada", "Europe"] == {"blue"}


def test_every_supply_pair_and_habit_turns_up() -> None:
    """A class of 200 meets the whole range; every brief has a lead with two meanings."""
    drawn = briefs(TASK)
    assert {b.frequency for b in drawn} == {f for f, _ in SUPPLIES}
    assert {truths(TASK, b)["swap"] for b in drawn} == {"T1 T2", "T2 T3", "T1 T3"}
    assert {values.on_neutral(b) for b in drawn} == set(TERMINALS)
    assert {(b.cable, b.board) for b in drawn} == set(HABITS)
    assert all("either" in truths(TASK, b)["colours"].values() for b in drawn)
    assert {what for b in drawn for what in truths(TASK, b)["colours"].values()} >= {"line", "neutral", "either"}


def test_the_numbers_are_the_stored_ones() -> None:
    """Digits stored here must come out on every machine and Python version."""
    assert [v for _, v in ME.values][:11] == [
        50.0, 231.0, 0.0133, 0.0067, 0.0032, 0.0017, 0.0067, 0.0134, 0.0132, 0.0066, 0.0,
    ]  # fmt: skip


# --- marking --------------------------------------------------------------------------------------------


def test_the_whole_way_after_one_slip_earns_its_marks() -> None:
    """Before taken for after: the degrees are wrong, what follows from them is not."""
    table = RIGHT_ONES["degrees"]
    turned: PlainData = {s: {t: 360 - late for t, late in row.items()} for s, row in table.items()}  # type: ignore[union-attr]
    mark = mark_of("degrees", turned)
    assert (mark.points, mark.slip) == (0.0, "before taken for after")
    other = {"1-2-3": "1-3-2", "1-3-2": "1-2-3", "fault": "fault"}
    verdicts: PlainData = {s: other[v] for s, v in RIGHT_ONES["verdict"].items()}  # type: ignore[union-attr, index]
    mark = mark_of("verdict", verdicts, degrees=turned)
    assert (mark.points, mark.followed) == (3.0, True)
    assert mark_of("verdict", verdicts).slip == "the sequences exchanged"
    line = ME.phase_volts * math.sqrt(2)
    volts = {t: ME.phase_volts if t == values.on_neutral(ME) else line for t in TERMINALS}
    mark = mark_of("fault_volts", volts, line=line)
    assert (mark.points, mark.followed) == (3.0, True)


def test_angles_may_be_counted_before_and_after() -> None:
    """−120° is 240°; half a degree of an honest snap to thirds counts too."""
    table: dict[str, dict[str, PlainData]] = {
        "A": {"t2": -120, "T3": "120°"}, "B": {"T2": "60 deg", "T3": 30}, "C": {"T2": "-239,4", "T3": 600},
    }  # fmt: skip
    assert mark_of("degrees", table).points == 3.0  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "answer", ["T1 T3", "T3 and T1", ["T3", "T1"], "t1-t3", "T1/T3", "L3, L1", "T1T3", "t3t1", "1 3", "3-1", 13]
)
def test_a_pair_may_be_written_in_any_way(answer: PlainData) -> None:
    """The pair of learner "me", by terminals or by conductors: two in each other's place have the same numbers."""
    assert mark_of("swap", answer).points == 3.0


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("1-2-3", "1-3-2"),
        (123, 321),
        ("2-3-1", "2-1-3"),
        ("312", "213"),
        ("L2 L3 L1", "L3-L2-L1"),
        ("T3-T1-T2", "T1T3T2"),
    ],
)
def test_a_ring_may_begin_anywhere(one: PlainData, other: PlainData) -> None:
    """1-2-3, 2-3-1 and 3-1-2 are one sequence, their mirror images the other one (common practice)."""
    assert mark_of("verdict", {"A": other, "B": "faulty", "C": one}).points == 3.0
    assert mark_of("verdict", {"A": one, "B": "faulty", "C": other}).slip == "the sequences exchanged"


def test_a_word_that_is_none_is_told_where() -> None:
    """What may be chosen, and where something else stands; an earlier answer that counts in part is called so."""
    mark = mark_of("colours", {"first": "L", "second": "N?!", "third": "brown", "sequence": "not known"})
    assert "What you wrote for third is none of the words." in mark.text
    mark = mark_of("fault_volts", {"T1": 231, "T2": 400, "T3": 133}, line=231)
    assert "A part of it follows rightly from your own earlier answer (line)" in mark.text
    assert "full marks" not in mark.text


@pytest.mark.parametrize(
    ("name", "answer", "slip", "points"),
    [
        ("verdict", {"A": "1-3-2", "B": "1-3-2", "C": "1-2-3"}, "three waves that are bunched taken for a sequence", 2),
        ("verdict", {"A": "fault", "B": "fault", "C": "1-2-3"}, "a sound socket called faulty", 2),
        ("line", 231.0, "the same as to neutral", 0),
        ("line", "133,4 V", "line and phase the wrong way", 0),
        ("line", "0.4", "a prefix lost or doubled", 1),
        ("fault_volts", {"T1": 231, "T2": 231, "T3": 231}, "the terminal marked N taken for the neutral", 1),
        ("fault_volts", {"T1": 400, "T2": 400, "T3": 0}, "the neutral taken for dead", 2),
        ("fault_volts", {"T1": 400, "T2": 231, "T3": 400}, "the terminal marked N taken for the neutral", 1),
        ("fault_volts", {"T1": 400, "T2": 400, "T3": 200}, "the neutral taken for the middle of a side", 2),
        ("fault_volts", {"T1": 133, "T2": 133, "T3": 231}, "line and phase the wrong way", 1),
        ("swap", "T1 T2", "any two exchanged", 1.5),
        ("swap", "T1 N", "a line exchanged with N", 0),
        ("swap", "all", "all three moved on", 0),
        ("colours", {"first": "line", "second": "line", "third": "line", "sequence": "1-2-3"}, "one habit believed", 2),
        ("colours", {"first": "line", "second": "either", "third": "line", "sequence": "1-2-3"},
         "colours taken for a proof of the sequence", 3),
        ("colours", {"first": "unknown", "second": "both", "third": "L1", "sequence": "can't tell"},
         "a lead called unknown", 3),
        ("colours", {"first": "line", "second": "either", "third": "phase", "sequence": "either"},
         "a lead's word for the sequence", 3),
    ],
)  # fmt: skip
def test_wrong_ideas_are_named(name: str, answer: PlainData, slip: str, points: float) -> None:
    """What an apprentice with one wrong idea hands in; learner "me": A runs backwards, B is faulty, T3 on neutral."""
    mark = judge(TASK, ME, name, with_answer({}, name, answer))
    assert (mark.slip, mark.points) == (slip, points)
