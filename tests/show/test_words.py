"""What a block is called."""

import pytest

from scheduler.guitar.patterns import parse_address
from scheduler.show.words import block_words


@pytest.mark.parametrize(
    ("addresses", "words"),
    [
        (
            "2:asc:down:4 2:desc:down:5 2:asc:down:6",
            (
                "box 2, frets 4 to 6, up the neck, downstroke first, "
                "fret 4 ascending, 5 descending and so on"
            ),
        ),
        (
            "1+2:desc:up:9 1+2:desc:up:8 1+2:desc:up:4",
            "boxes 1+2 from the top, frets 9, 8 and 4, down the neck, upstroke first",
        ),
        ("3:desc:down:7", "box 3, fret 7, downstroke first, descending"),
        (
            "3:desc:down:2 3:desc:down:4 3:asc:down:9",
            (
                "box 3, frets 2, 4 and 9, up the neck, downstroke first, "
                "even frets descending, odd frets ascending"
            ),
        ),
    ],
)
def test_a_block_reads_as_a_musician_would_say_it(addresses: str, words: str) -> None:
    assert block_words([parse_address(address) for address in addresses.split()]) == words
