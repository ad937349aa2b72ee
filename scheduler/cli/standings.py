"""What is said after something changed: where the round stands, and which items are weak now."""

from collections.abc import Mapping

from scheduler.cli.telling import tell
from scheduler.guitar.items import Item
from scheduler.player.standing import Judgement, Standing
from scheduler.practice.practice import Practice
from scheduler.practice.rounds import clean_in_round
from scheduler.show.words import item_words
from scheduler.show.words import round_words as words_of_round

NAMED_AT_MOST = 6


def print_standings(practice: Practice, judgements: Mapping[Item, Judgement]) -> None:
    """Print where the round stands, and which of some items are weak."""
    tell(round_words(practice))
    weak = [item for item, judged in judgements.items() if judged.standing is Standing.WEAK]
    for item in weak[:NAMED_AT_MOST]:
        tell(f"weak now: {item_words(item)} ({item.address})")
    if len(weak) > NAMED_AT_MOST:
        tell(f"and {len(weak) - NAMED_AT_MOST} more weak ones: upneck items --weak")


def round_words(practice: Practice) -> str:
    """How many items of the round are clean."""
    order = practice.order
    state, clean = practice.state, clean_in_round(practice.state, order)
    name = words_of_round(state.round.number, state.routine)
    return f"{name}: {clean} of {len(order)} items clean"
