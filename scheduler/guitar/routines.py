"""The routines inside the program, and those that are known: by what addresses name them by."""

from collections.abc import Mapping

from scheduler.guitar.routine import (
    HARMONIC_MINOR,
    MAJOR,
    MINOR_PENTATONIC,
    NATURAL_MINOR,
    PENTATONIC,
    Routine,
    routine,
)

Routines = Mapping[str, Routine]
"""Routines by their key; "" is the first."""

IN_SIX, IN_FOUR = (6, 3), (4, 1)
"""Sixes and groups of four over three notes a string: the notes, and from where the next begin."""

INSIDE: Routines = {
    found.key: found
    for found in (
        PENTATONIC,
        routine(
            "fours", "minor pentatonic, two notes a string, in groups of four",
            MINOR_PENTATONIC, 2, 4, 1,
        ),
        routine("major3", "major scale, three notes a string, in sixes", MAJOR, 3, *IN_SIX),
        routine(
            "major3fours", "major scale, three notes a string, in groups of four",
            MAJOR, 3, *IN_FOUR,
        ),
        routine(
            "minor3", "natural minor, three notes a string, in sixes", NATURAL_MINOR, 3, *IN_SIX
        ),
        routine(
            "harmonic3", "harmonic minor, three notes a string, in sixes",
            HARMONIC_MINOR, 3, *IN_SIX,
        ),
    )
}  # fmt: skip
