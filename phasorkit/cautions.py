"""Sentences that must read the same on every sheet, lesson and page."""

DARK_IS_NO_PROOF = (
    "Dark is never proof of absence of voltage: a dead supply, a failed lamp or a broken lead look the same. "
    "A dark reading proves a sequence only after the swapped connection has lit the lamp. "
    "This is no voltage tester: prove dead with a proper two-pole voltage tester (IEC 61243-3)."
)
WHO_MAY = (
    "Work on mains is for licensed or instructed persons under the local code, which goes before this text. "
    "Bench work is at extra-low voltage from a named, isolated source."
)
"""Who may do it and where."""
