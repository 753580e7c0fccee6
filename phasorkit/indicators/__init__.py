"""Indicators: one module per circuit, found by themselves."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

from phasorkit.indicators.base import Indicator, PartLine, Reading

__all__ = ["Indicator", "PartLine", "Reading", "circuit", "circuits"]


@cache
def circuits() -> dict[str, type[Indicator]]:
    """Every indicator class by its circuit name, in the order of the module names.

    >>> "divider-bridge" in circuits()
    True
    """
    found: dict[str, type[Indicator]] = {}
    for module in pkgutil.iter_modules(__path__):
        contents = vars(importlib.import_module(f"{__name__}.{module.name}")).values()
        for item in contents:
            if isinstance(item, type) and issubclass(item, Indicator) and "name" in vars(item):
                found[item.name] = item
    return found


def circuit(name: str) -> type[Indicator]:
    """The indicator class of a circuit name; a KeyError lists the names there are.

    >>> circuit("divider-bridge").title
    'Null bridge with one capacitor'
    """
    if name not in circuits():
        raise KeyError(f"no circuit {name!r}; there are {', '.join(circuits())}")
    return circuits()[name]
