"""Answers as plain data: every kind of object, none of the learner's code."""

from __future__ import annotations

import json
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from quantiphy import Quantity

from phasorkit.course.plain import MAX_ITEMS, MAX_TEXT, PlainData, to_plain

PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**300), 10**300) | st.floats() | st.text(max_size=100),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=20,
)


class Hostile:
    """Every question one could ask of it ends in an exception."""

    def __getattribute__(self, name: str) -> object:
        raise RuntimeError("do not touch")

    def __repr__(self) -> str:
        raise RuntimeError("do not print")

    def __eq__(self, other: object) -> bool:
        raise RuntimeError("do not compare")

    def __hash__(self) -> int:
        raise RuntimeError("do not hash")


class FalseFloat(float):
    """A number that lies about itself."""

    def __float__(self) -> float:
        return 1.0

    def __eq__(self, other: object) -> bool:
        return True

    __hash__ = None  # type: ignore[assignment]


class HostileMeta(type):
    def __hash__(cls) -> int:
        raise RuntimeError("do not hash")


class Unhashable(metaclass=HostileMeta):
    pass


@pytest.mark.parametrize(
    ("obj", "plain"),
    [
        (np.float64(2.5), 2.5),
        (np.int32(7), 7),
        (np.bool_(True), True),
        (np.array([1.0, 2.0]), [1.0, 2.0]),
        ((1, "390k"), [1, "390k"]),
        ({123: {"R1": np.float32(0.5)}}, {"123": {"R1": 0.5}}),
        (Quantity("390 kOhm"), 390e3),
        (FalseFloat(3.0), 3.0),
        (..., None),
        (3j, {"unreadable": "complex"}),
        (Decimal("1.5"), 1.5),
        (len, {"unreadable": "builtin_function_or_method"}),
        (Hostile(), {"unreadable": "Hostile"}),
        ([Hostile()], [{"unreadable": "Hostile"}]),
        (Unhashable(), {"unreadable": "Unhashable"}),
        (np.array([1 + 2j]), {"unreadable": "ndarray"}),
        (np.zeros(MAX_ITEMS + 1), {"unreadable": "ndarray"}),
        (list(range(MAX_ITEMS + 1)), {"unreadable": "list"}),
        ("9" * (MAX_TEXT + 1), {"unreadable": "very long text"}),
        (10**400, {"unreadable": "whole number beyond all measure"}),
    ],
    ids=lambda x: type(x).__name__,
)
def test_every_object_becomes_plain_data(obj: object, plain: PlainData) -> None:
    """Kinds that hold numbers become numbers; the rest becomes inert, whatever its own methods would do."""
    found = to_plain(obj)
    assert found == plain
    assert type(found) is type(plain)


def test_a_nest_without_end_is_cut() -> None:
    """A list that holds itself ends in an inert mark."""
    endless: list[object] = []
    endless.append(endless)
    assert "unreadable" in json.dumps(to_plain(endless))


@given(PLAIN)
@example([[[[[]]]]])
@example([[[[{"unreadable": "x" * 90}]]]])
def test_plain_data_stays_what_it_is_or_becomes_inert(value: PlainData) -> None:
    """JSON takes every snapshot; taking a snapshot twice changes nothing more."""
    once = to_plain(value)
    json.dumps(once)
    assert repr(to_plain(once)) == repr(once)
