"""Items, addresses and patterns: one table, read both ways."""

import pytest

from scheduler.errors import AddressError
from scheduler.guitar.items import Item, catalogue, positions
from scheduler.guitar.neck import Neck, parse_neck
from scheduler.guitar.patterns import (
    matching,
    parse_address,
    parse_frets,
    parse_item,
    parse_pattern,
)
from scheduler.guitar.routine import Direction, Stroke

ADDRESSES = {
    "3:asc:down:7": Item(3, False, Direction.ASC, Stroke.DOWN, 7),
    "5+1:desc:up:2": Item(5, True, Direction.DESC, Stroke.UP, 2),
    "1+2:asc:up:19": Item(1, True, Direction.ASC, Stroke.UP, 19),
}


@pytest.mark.parametrize(("address", "item"), ADDRESSES.items())
def test_an_address_names_its_item_and_the_item_its_address(address: str, item: Item) -> None:
    assert (parse_address(address), item.address) == (item, address)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("6:asc:down:7", "no box '6'"),
        ("0:asc:down:7", "no box '0'"),
        ("1+3:asc:down:7", "next higher one, here 1\\+2"),
        ("2+1:asc:down:7", "next higher one, here 2\\+3"),
        ("1+2+3:asc:down:7", "no coupling"),
        ("3:ascend:down:7", "did you mean asc"),
        ("3:asc:dwn:7", "did you mean down"),
        ("3:asc:down:x", "no fret 'x'"),
        ("3:asc:down:9-5", "run backwards"),
        ("3:asc:down:50", "at most 48"),
        ("3:asc:down:-1", "no fret"),
        ("3:asc:down:7:1", "5 parts"),
        ("3::down:7", "empty part"),
        ("", "empty pattern"),
        ("3:asc:down", "more than one item"),
        ("3:asc:down:7,8", "more than one item"),
        ("³:asc:down:7", "no box"),
        ("3:asc:down:٣", "no fret"),
    ],
)
def test_a_wrong_address_says_what_would_be_right(text: str, why: str) -> None:
    with pytest.raises(AddressError, match=why):
        parse_address(text)


def test_an_address_beyond_the_neck_says_where_the_box_lies(neck: Neck) -> None:
    with pytest.raises(AddressError, match="frets 1 to 19"):
        parse_item(neck, "1:asc:down:20")


@pytest.mark.parametrize(
    ("pattern", "number"),
    [
        ("any", 704),
        ("3", 4 * 18),
        ("1+2:any:down", 2 * 17),
        ("4:asc:up:5-9,12", 6),
        ("any:any:any:5", 40),
        ("2:DESC", 38),
    ],
)
def test_a_pattern_leaves_out_what_does_not_matter(neck: Neck, pattern: str, number: int) -> None:
    assert len(matching(neck, parse_pattern(pattern))) == number


def test_a_pattern_without_a_position_says_so() -> None:
    with pytest.raises(AddressError, match="no position"):
        matching(parse_neck(frets=12), parse_pattern("1:asc:down:11"))


def test_frets_come_as_lists_and_ranges() -> None:
    assert parse_frets("5-7,12,6") == {5, 6, 7, 12}


def test_the_catalogue_holds_every_item_once(neck: Neck) -> None:
    items = catalogue(neck)

    assert len(set(items)) == len(items) == 704


def test_open_strings_are_used_only_where_the_lowest_fret_is_0() -> None:
    assert positions(parse_neck(lowest_fret=0), 1, coupling=False).start == 0
    assert positions(parse_neck(lowest_fret=1), 1, coupling=False).start == 1
