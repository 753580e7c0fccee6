"""Exercise `wiring`: volts by admittances written out, records against every single fault, forms, wrong ideas named."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import permutations

import numpy as np
import pytest
from course_cases import briefs, right_answers, with_answer

from phasorkit.course.briefs import draw_brief
from phasorkit.course.model import Brief, Mark, judge, task, truths
from phasorkit.course.plain import PlainData
from phasorkit.course.tasks.wiring import SYSTEMS, values
from phasorkit.course.tasks.wiring.field import (
    EXCHANGE,
    FAULT,
    MEASURE,
    NOTHING,
    ROUND,
    UNDECIDED,
    Socket,
    lamps,
    next_step,
    said,
    verdict,
)
from phasorkit.lamps import DARK, LIT

WIRING = task("wiring")
ME = draw_brief(WIRING, "me", "")
RIGHT_ONES = right_answers(WIRING, ME)
PROBES, TERMINALS = ("L1", "L2", "L3"), ("A", "B", "C")
TURN = cmath.exp(2j * math.pi / 3)

BRIDGE = (("L1", "M", 1), ("M", "L3", 1), ("L3", "P", 1), ("P", "L2", 1j / math.sqrt(3)))
SECOND = (("L2", "M2", 1), ("M2", "L3", 1), ("L3", "P2", 1), ("P2", "L1", 1j / math.sqrt(3)))
"""Admittances over that of R: Xc is √3 times R."""


def mark_of(name: str, answer: PlainData) -> Mark:
    """The mark of one answer of learner "me"."""
    return judge(WIRING, ME, name, with_answer({}, name, answer))


def corners(line_voltage: float, sequence: str) -> dict[str, complex]:
    """Volts of the conductors and the neutral against the star point."""
    unit = complex(line_voltage / math.sqrt(3))
    late = {"123": (unit, unit / TURN, unit * TURN), "132": (unit, unit * TURN, unit / TURN)}
    return dict(zip(PROBES, late[sequence], strict=True)) | {"N": 0j}


def solved(parts: tuple[tuple[str, str, complex], ...], held: Mapping[str, complex]) -> dict[str, complex]:
    """Volts of every node by numpy: one equation (sum of currents is zero) for each node that is not held."""
    free = sorted({n for a, b, _ in parts for n in (a, b)} - held.keys())
    matrix, right = np.zeros((len(free), len(free)), dtype=complex), np.zeros(len(free), dtype=complex)
    for a, b, y in parts:
        for node, other in ((a, b), (b, a)):
            if node in free:
                matrix[free.index(node), free.index(node)] += y
                if other in free:
                    matrix[free.index(node), free.index(other)] -= y
                else:
                    right[free.index(node)] += y * held[other]
    return {**held, **dict(zip(free, np.linalg.solve(matrix, right), strict=True))}


def laid(brief: Brief, connection: str, sequence: str) -> dict[str, complex]:
    """Volts that the probes are held at; an open one is left out."""
    at = corners(brief.line_voltage, sequence)
    held = {p: at[p] for p in PROBES}
    if connection == "open":
        del held[brief.open_probe]
    elif connection == "neutral":
        held[brief.neutral_probe] = at["N"]
    elif connection == "doubled":
        held[brief.doubled_probe] = at[brief.doubled_on]
    return held


# --- right values by a second way ------------------------------------------------------------------------


@pytest.mark.parametrize("brief", briefs(WIRING)[::4], ids=lambda b: b.learner)
def test_volts_and_twin_agree_with_admittances_written_out(brief: Brief) -> None:
    """Second method: currents summed up at every node; the twin is read by its instructions (lesson 08)."""
    right = truths(WIRING, brief)
    for connection in values.CONNECTIONS:
        for sequence in ("123", "132"):
            at = solved(BRIDGE, laid(brief, connection, sequence))
            assert right["volts"][sequence, connection] == pytest.approx(abs(at["M"] - at["P"]), rel=1e-8)
        at = solved(BRIDGE + SECOND, laid(brief, connection, brief.sequence))
        h = [abs(at["M"] - at["P"]), abs(at["M2"] - at["P2"])]
        assert min(h) > 39  # none of the wrong connections leaves a lamp surely dark
        assert right["twin"][connection] == ("fault" if min(h) > 90 else "can't tell")
    dark = {"123": "H1", "132": "H2"}[brief.sequence]
    assert right["twin"]["failed"] == ("-".join(brief.sequence) if brief.failed_lamp == dark else "nothing")
    assert right["twin"]["dead"] == "nothing"


@pytest.mark.parametrize("brief", briefs(WIRING)[::10], ids=lambda b: b.learner)
def test_terminal_volts_agree_with_plain_geometry(brief: Brief) -> None:
    """The middle of the triangle, one point, the middle of a side."""
    at = dict(zip(TERMINALS, list(corners(brief.line_voltage, "123").values())[:3], strict=True))
    after = {"A": "B", "B": "C", "C": "A"}
    lost = [at[t] for t in TERMINALS if t != brief.backfed_at]
    moved = {
        "neutral": at | {brief.neutral_at: 0j},
        "doubled": at | {brief.doubled_at: at[after[brief.doubled_at]]},
        "backfed": at | {brief.backfed_at: sum(lost) / 2},
    }
    for fault, points in moved.items():
        for a, b in after.items():
            shown = truths(WIRING, brief)["terminals"][fault, f"{a}-{b}"]
            assert shown == pytest.approx(abs(points[a] - points[b]), abs=1e-6)


def test_facts_of_the_trade() -> None:
    """On 400 V: 231 V from a line to neutral, 200 V for two lamps' or a leg's half of the line (common practice)."""
    brief = Brief("wiring", "n", "", (("line_voltage", 400.0), ("frequency", 50.0), ("open_probe", "L1"),
        ("neutral_probe", "L2"), ("doubled_probe", "L1"), ("doubled_on", "L2"), ("neutral_at", "A"),
        ("doubled_at", "A"), ("backfed_at", "A")))  # fmt: skip
    shown = values.terminals(brief, {})
    assert [round(shown["neutral", b]) for b in values.BETWEEN] == [231, 400, 231]
    assert round(values.volts(brief, {})["123", "open"]) == 200


@pytest.mark.parametrize("capacitor", PROBES)
def test_only_the_exchange_of_the_lamps_mirrors_a_star(capacitor: str) -> None:
    """With any volts at the terminals: exchanging the lamps' probes exchanges the lamps' volts, no other pair does."""
    parts = tuple((p, "S", 1j if p == capacitor else 1.0) for p in PROBES)
    at = dict(zip(PROBES, (100 + 30j, -70 + 10j, 20 - 90j), strict=True))
    lamp_probes = [p for p in PROBES if p != capacitor]

    def lamp_volts(held: Mapping[str, complex]) -> list[float]:
        s = solved(parts, held)["S"]
        return [abs(held[p] - s) for p in lamp_probes]

    mirrored = []
    for a, b in permutations(PROBES, 2):
        exchanged = at | {a: at[b], b: at[a]}
        if np.allclose(lamp_volts(exchanged), lamp_volts(at)[::-1]):
            mirrored.append({a, b})
    brief = Brief("wiring", "n", "", (("star_capacitor", capacitor),))
    assert mirrored == [set(lamp_probes)] * 2
    assert values.mirror(brief, {}).split() == lamp_probes


# --- what a record proves: tried against every single fault ------------------------------------------------

Touch = tuple[complex | None, ...]


@cache
def twin_lamps(line_voltage: float, held: Touch) -> tuple[float, float]:
    """Volts on H1 and H2 with the probes held at these volts, none for an open lead."""
    at = solved(BRIDGE + SECOND, {p: v for p, v in zip(PROBES, held, strict=True) if v is not None})
    return abs(at["M"] - at["P"]), abs(at["M2"] - at["P2"])


def hypotheses(line_voltage: float) -> Iterator[tuple[str, str, dict[str, complex], str]]:
    """Sequence, what is wrong ("" for nothing), volts on the terminals, and which lead or lamp or supply fails."""
    for sequence in ("123", "132"):
        own = dict(zip(TERMINALS, list(corners(line_voltage, sequence).values())[:3], strict=True))
        yield sequence, "", own, ""
        yield sequence, "", own, "supply gone"
        yield from ((sequence, "tester", own, what) for what in (*PROBES, "H1", "H2"))
        for t in TERMINALS:
            others = [x for x in TERMINALS if x != t]
            yield sequence, "terminals", own | {t: 0j}, ""
            yield sequence, "terminals", own | {t: (own[others[0]] + own[others[1]]) / 2}, ""
            yield from ((sequence, "terminals", own | {t: own[x]}, "") for x in others)


def read(line_voltage: float, on: Mapping[str, complex], probes: str, fails: str, strikes: float) -> tuple[str, str]:
    """The lamps with the probes on these terminals."""
    held = tuple(None if p == fails else on[t] for p, t in zip(PROBES, probes, strict=True))
    lit = [LIT if v > strikes else DARK for v in twin_lamps(line_voltage, held)]
    h1, h2 = (DARK if name == fails else state for name, state in zip(("H1", "H2"), lit, strict=True))
    return h1, h2


def fits(s: Socket, line_voltage: float, on: Mapping[str, complex], fails: str, strikes: float) -> bool:
    """Whether this could have given the record."""
    if s.volts:
        exact = [abs(on[a] - on[b]) for a, b in (("A", "B"), ("B", "C"), ("C", "A"))]
        if not np.allclose(s.volts, exact, rtol=0.015, atol=1.0):
            return False
    if read(line_voltage, on, s.probes, "" if fails == "supply gone" else fails, strikes) != s.first:
        return False
    if s.then == NOTHING:
        return True
    one, two = s.then.split() if s.then != ROUND else ("", "")
    there = {one: two, two: one} if one else {"A": "B", "B": "C", "C": "A"}
    moved = "".join(there.get(t, t) for t in s.probes)
    gone = fails == "supply gone"
    return ((DARK, DARK) if gone else read(line_voltage, on, moved, fails, strikes)) == s.second


@pytest.mark.parametrize("brief", briefs(WIRING)[::2], ids=lambda b: b.learner)
def test_a_record_proves_what_no_single_fault_could_feign(brief: Brief) -> None:
    """Every fault of terminals, leads, lamps, and a supply that goes, with a lamp that strikes early or late.

    A proved sequence is the only thing that fits; nothing sound fits a fault; both fit what is undecided.
    """
    for name in values.NAMES:
        s = values.socket(brief, name)
        found = {
            (sequence, wrong or fails)
            for sequence, wrong, on, fails in hypotheses(brief.line_voltage)
            for strikes in (45.0, 75.0, 89.0)
            if fits(s, brief.line_voltage, on, fails, strikes)
        }
        sound, wrong = {f for f in found if f[1] == ""}, {f for f in found if f[1] not in ("", "supply gone")}
        right = verdict(s, line_voltage=brief.line_voltage)
        if right == FAULT:
            assert wrong, (name, s)
            assert not sound, (name, s)
        elif right == UNDECIDED:
            assert wrong, (name, s)
            assert {f for f in found if f[1] in ("", "supply gone")}, (name, s)
        else:
            assert found == {(right.replace("-", ""), "")}, (name, s, found)


def test_every_kind_of_record_turns_up() -> None:
    """A class of 200 meets every system, verdict and step; every brief has a sequence, a fault and an open end."""
    drawn = briefs(WIRING)
    assert {(b.line_voltage, b.frequency) for b in drawn} == set(SYSTEMS)
    assert {b.open_probe for b in drawn} == set(PROBES)
    assert {s for b in drawn for s in truths(WIRING, b)["step"].values()} == set(WIRING.check("step").options)  # type: ignore[attr-defined]
    for b in drawn:
        found = set(truths(WIRING, b)["sockets"].values())
        assert len(found) == 3
        assert {FAULT, UNDECIDED} < found


def test_a_neutral_that_changes_over_is_among_the_records() -> None:
    """On a low system some learners meet lamps that change over although a terminal has the neutral."""
    fooling = [
        s for b in briefs(WIRING) for s in (values.socket(b, n) for n in values.NAMES) if s.changed_over and s.volts
        and not s.equal
    ]  # fmt: skip
    assert fooling
    assert all(verdict(s, line_voltage=208.0) == FAULT for s in fooling)


# --- the rules by themselves -------------------------------------------------------------------------------


def test_the_order_of_terminals_is_that_of_the_conductors_under_them() -> None:
    """With any placing the lamps of a sound socket name the order of A, B, C, whatever order the probes have."""
    for probes in ("".join(p) for p in permutations("ABC")):
        for sequence in ("123", "132"):
            seen = lamps("sound", "A", probes, 400.0, sequence)
            assert said(seen, probes) == "-".join(sequence)


def test_without_terminal_volts_it_depends_on_the_system() -> None:
    """A neutral leaves half the phase voltage: 115 V on 400 V light any glow lamp, 60 V on 208 V do not."""
    s = Socket((), "ABC", (DARK, LIT), "A B", (LIT, DARK))
    assert [verdict(s, line_voltage=v) for v in (208.0, 400.0)] == [UNDECIDED, "1-2-3"]
    assert next_step(s, line_voltage=208.0) == MEASURE
    once = Socket((400.0, 401.0, 399.0), "ABC", (DARK, LIT), NOTHING, None)
    assert (verdict(once, line_voltage=400.0), next_step(once, line_voltage=400.0)) == (UNDECIDED, EXCHANGE)


def test_the_numbers_are_the_stored_ones() -> None:
    """Digits stored here must come out on every machine and Python version."""
    assert [v for _, v in ME.values][:12] == [
        480.0, 60.0, "L2", "L3", "L2", "L3", "132", "H1", "C", "B", "B", "L1",
    ]  # fmt: skip


# --- marking --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("factor", [0.95, 1.05])
def test_one_is_told_from_one_point_oh_five(factor: float) -> None:
    """Five per cent off is wrong, in both tables; what is zero stays right."""
    for name in ("volts", "terminals"):
        table = RIGHT_ONES[name]
        off: PlainData = {g: {e: v * factor for e, v in row.items()} for g, row in table.items()}  # type: ignore[union-attr, operator]
        zeros = sum(v == 0 for row in table.values() for v in row.values())  # type: ignore[union-attr]
        assert mark_of(name, off).points == pytest.approx(zeros / 3, abs=0.01)


@pytest.mark.parametrize("answer", ["{0} {1}", "{1} and {0}", "{1}-{0}", "{0}, {1}", "{0}{1}"])
def test_a_pair_may_be_written_in_any_way(answer: str) -> None:
    """With "and", dashes, commas, either way round; as a list."""
    pair = str(RIGHT_ONES["swap"]).split()
    assert mark_of("swap", answer.format(*pair)).points == 2.0
    assert mark_of("swap", pair[::-1]).points == 2.0  # type: ignore[arg-type]
    assert mark_of("swap", " ".join(pair).replace("L", "")).points == 2.0


@pytest.mark.parametrize(("one", "other"), [("A B C", "C-B-A"), ("B, C, A", "A-C-B"), ("C-A-B", "B A C"), (123, 132)])
def test_a_ring_of_terminals_may_begin_anywhere(one: PlainData, other: PlainData) -> None:
    """A, B, C and B, C, A are one order, C, B, A is the other (common practice); crane of learner "me" is 1-2-3."""
    assert mark_of("sockets", {"crane": one}).points == 2.0
    assert mark_of("sockets", {"crane": other}).slip == "the probes' places not carried over"


@pytest.mark.parametrize(
    ("name", "answer", "slip", "points"),
    [
        ("volts", {"123": {"open": 138.6, "neutral": 138.6, "doubled": 240},
                   "132": {"open": 277.1, "neutral": 277.1, "doubled": 240}}, "an open probe taken for zero volts", 2),
        ("volts", {"123": {"neutral": "277 V"}, "132": {"neutral": "138,6"}}, "the sequences exchanged", 0),
        ("twin", {"open": "1-2-3", "neutral": "fault", "doubled": "1-3-2"},
         "a wrong connection taken for a right one", 1),
        ("twin", {"failed": "fault", "dead": "fault"}, "the failed lamp known beforehand", 0),
        ("terminals", {"neutral": {"A-B": 480, "B-C": 0, "C-A": 0}}, "the neutral taken for no volts", 0.33),
        ("terminals", {"backfed": {"BA": 277, "C-B": 277, "ca": 480}}, "a lost phase taken for the neutral", 0.33),
        ("volts", {"132": {"open": 0, "neutral": 0, "doubled": 0}}, "the lamp taken for dead", 0),
        ("volts", {"123": {"open": "277 V", "neutral": 138.6}}, "another lead taken like L3", 0.5),
        ("terminals", {"neutral": {"B-C": 240, "C-A": 240}}, "the neutral taken for the middle of a side", 0),
        ("terminals", {"doubled": {"A-B": 0, "B-C": 0, "C-A": 480}}, "one conductor, seen at the wrong pair", 0.67),
        ("terminals", {"doubled": {"A–B": 0, "B–C": 0, "C–A": 480}}, "one conductor, seen at the wrong pair", 0.67),
        ("swap", "L1 L2", "the capacitor's probe exchanged", 0),
        ("swap", "none", "any exchange trusted", 0),
        ("sockets", {"crane": 132, "kitchen": "undecided", "lights": "fault"},
         "the probes' places not carried over", 5),
        ("sockets", {"crane": "1-2-3", "kitchen": "1-2-3", "lights": "fault"}, "a sequence from one reading", 4),
        ("sockets", {"crane": "1-2-3", "kitchen": "undecided", "lights": "1-2-3"},
         "two lit lamps read as a sequence", 4),
        ("step", {"crane": "write down", "kitchen": "write down", "lights": "leads"}, "written down too early", 2),
        ("step", {"crane": "write", "kitchen": "exchange", "lights": "call"}, "the installation blamed", 2),
    ],
)  # fmt: skip
def test_wrong_ideas_are_named(name: str, answer: PlainData, slip: str, points: float) -> None:
    """What an apprentice with one wrong idea hands in; learner "me": kitchen is undecided, at lights a lead is off."""
    mark = mark_of(name, answer)
    assert (mark.slip, mark.points) == (slip, pytest.approx(points, abs=0.01))


def test_one_value_for_both_sequences_is_not_called_an_exchange() -> None:
    """On the neutral one value is right in one sequence; who gives it twice has exchanged nothing (Kirchhoff)."""
    phase = ME.line_voltage / math.sqrt(3)
    text = mark_of("volts", {"123": {"neutral": phase}, "132": {"neutral": phase}}).text
    assert "other sequence" in text
    assert "you have them exchanged" not in text
