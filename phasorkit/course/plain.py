"""Answers as plain data: what a learner's object says, without running anything of the learner's."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any, TypeAlias

import numpy as np

PlainData: TypeAlias = "bool | int | float | str | list[PlainData] | dict[str, PlainData] | None"
"""A snapshot of an answer: what JSON can hold (large whole numbers, NaN and infinity included)."""

MAX_TEXT, MAX_ITEMS, MAX_DEPTH, MAX_INT_BITS = 2000, 200, 4, 1100
"""Caps of a snapshot: a longer text, list or number and a deeper nest becomes ``{"unreadable": ...}``."""

_NUMPY_NUMBERS = frozenset(t for t in np.sctypeDict.values() if issubclass(t, np.integer | np.floating | np.bool_))


def to_plain(obj: object) -> PlainData:
    """Turn any object into plain data, by its exact kind and never by its own methods.

    Numbers (numpy scalars, decimals, fractions and numbers derived from float and int too), texts, lists, tuples,
    number arrays and dictionaries become their plain equals; ``None`` and ``...`` become None. Anything else, and
    whatever is too large, becomes an inert ``{"unreadable": "type name"}``. Never raises.

    >>> to_plain({"R1": np.float64(200.0), "R2": (1, "4k7")})
    {'R1': 200.0, 'R2': [1, '4k7']}
    >>> to_plain(3 + 4j), to_plain(len)
    ({'unreadable': 'complex'}, {'unreadable': 'builtin_function_or_method'})
    """
    try:
        return _plain(obj, MAX_DEPTH)
    except Exception:
        return _unreadable(obj)


def _plain(obj: Any, depth: int) -> PlainData:
    kind = type(obj)
    if obj is None or obj is ... or kind is bool or kind is float:
        return None if obj is ... else obj
    if kind in _NUMPY_NUMBERS:
        return _plain(np.generic.item(obj), depth)
    if kind in (Decimal, Fraction):
        return float(obj)
    if issubclass(kind, str):
        return _text(obj)
    if issubclass(kind, float):
        return float.__float__(obj)
    if issubclass(kind, int):
        number = int.__index__(obj)
        return number if int.bit_length(number) <= MAX_INT_BITS else {"unreadable": "whole number beyond all measure"}
    return _nest(obj, kind, depth)


def _nest(obj: Any, kind: type, depth: int) -> PlainData:
    if kind is np.ndarray and obj.size <= MAX_ITEMS and obj.dtype.kind in "biuf":
        return _plain(np.ndarray.tolist(obj), depth)
    if kind is dict and dict.keys(obj) == {"unreadable"} and type(obj["unreadable"]) is str:
        return {"unreadable": obj["unreadable"][:80]}
    if kind not in (list, tuple, dict) or depth == 0 or len(obj) > MAX_ITEMS:
        return _unreadable(obj)
    if kind is dict:
        return {_key(k): _plain(v, depth - 1) for k, v in dict.items(obj)}
    return [_plain(item, depth - 1) for item in obj]


def _text(obj: str) -> PlainData:
    text = str.__str__(obj)
    return text if len(text) <= MAX_TEXT else {"unreadable": "very long text"}


def _key(obj: object) -> str:
    """A dictionary's key as text; ``123`` and ``"123"`` are the same key."""
    key = _plain(obj, 0)
    return key if isinstance(key, str) else repr(key)


def _unreadable(obj: object) -> PlainData:
    try:
        return {"unreadable": str(type.__dict__["__name__"].__get__(type(obj)))[:80]}
    except Exception:
        return {"unreadable": "object"}
