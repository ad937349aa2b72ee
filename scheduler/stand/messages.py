"""What the page sends, read: types and ranges are exact, for it may come from anywhere.

Each message has an id of its own, a UUID of version 7 made by the page, so that sent again it is
the same message. The time of a pass is the one in its id.
"""

from typing import Any, NamedTuple, cast

from scheduler.errors import MessageError, UsageError
from scheduler.guitar.metronome import NOTES_PER_BEAT, BeatsPerMinute, check_tempo
from scheduler.ledger.record_file import UUID_7
from scheduler.player.facts import Fault

MOST_MESSAGES = 200
MOST_ERRORS_SENT = 99
LONGEST_ADDRESS = 80


class PassSent(NamedTuple):
    """A pass.

    Attributes:
        id: Its id.
        plan: The number of the plan that it was played for.
        block: The number of the block.
        item: The address of the item.
        back: Whether the item had come back after the others.
        tempo: In beats per minute.
        clean: Whether it was clean.
        errors: 0 if clean; None if not counted.
        goes_on: Whether the page went on to the next item.
        notes_per_beat: 1, 2, 3, 4 or 6.
    """

    id: str
    plan: int
    block: int
    item: str
    back: bool
    tempo: BeatsPerMinute
    clean: bool
    errors: int | None
    goes_on: bool
    notes_per_beat: int


class FaultSent(NamedTuple):
    """What was sloppy about a pass."""

    id: str
    target: str
    fault: Fault


class BackSent(NamedTuple):
    """A pass is taken back."""

    id: str
    target: str


class TempoSent(NamedTuple):
    """Another tempo for a block of a plan."""

    id: str
    plan: int
    block: int
    tempo: BeatsPerMinute


Message = PassSent | FaultSent | BackSent | TempoSent


def messages_from(told: object) -> tuple[str, list[Message | str]]:
    """Whose record it is for, and the messages; a message that can't be read is its id.

    What has no id is left out: nothing could be said of it.

    Raises:
        MessageError: It isn't a list of messages.
    """
    if not isinstance(told, dict) or not isinstance(told.get("owner"), str):
        msg = "it doesn't say for whom it is"
        raise MessageError(msg)
    listed = told.get("messages")
    if not isinstance(listed, list) or len(listed) > MOST_MESSAGES:
        msg = f"at most {MOST_MESSAGES} messages are taken at once"
        raise MessageError(msg)
    named = [each for each in listed if isinstance(each, dict) and _is_id(each.get("id"))]
    return cast("str", told["owner"]), [_message_or_id(each) for each in named]


def _message_or_id(told: dict[str, Any]) -> Message | str:
    message_id = str(told["id"])
    try:
        return _message(told, message_id)
    except (UsageError, ValueError, TypeError, OverflowError):
        return message_id


def _message(told: dict[str, Any], message_id: str) -> Message:
    match told.get("kind"):
        case "pass":
            return _pass(told, message_id)
        case "fault":
            return FaultSent(message_id, _id(told.get("target")), Fault(str(told.get("fault"))))
        case "back":
            return BackSent(message_id, _id(told.get("target")))
        case "tempo":
            plan, block = _number(told, "plan"), _number(told, "block")
            return TempoSent(message_id, plan, block, _tempo(told))
        case _:
            msg = "no such kind of message"
            raise MessageError(msg)


def _pass(told: dict[str, Any], message_id: str) -> PassSent:
    item, clean, errors = told.get("item"), _flag(told, "clean"), told.get("errors")
    if not isinstance(item, str) or len(item) > LONGEST_ADDRESS:
        msg = "an item is named by its address"
        raise MessageError(msg)
    beat = _number(told, "notes_per_beat")
    if beat not in NOTES_PER_BEAT:
        msg = "a beat has 1, 2, 3, 4 or 6 notes"
        raise MessageError(msg)
    if clean:
        fits = errors == 0 and type(errors) is int
    else:
        fits = errors is None or (type(errors) is int and 1 <= errors <= MOST_ERRORS_SENT)
    if not fits:
        msg = "a clean pass has no errors, a sloppy one has some"
        raise MessageError(msg)
    return PassSent(
        message_id, _number(told, "plan"), _number(told, "block"), item, _flag(told, "back"),
        _tempo(told), clean, cast("int | None", errors), _flag(told, "goes_on"), beat,
    )  # fmt: skip


def _id(value: object) -> str:
    if not _is_id(value):
        msg = "an id is a UUID of version 7"
        raise MessageError(msg)
    return str(value)


def _is_id(value: object) -> bool:
    return isinstance(value, str) and UUID_7.fullmatch(value) is not None


def _flag(told: dict[str, Any], name: str) -> bool:
    value = told.get(name)
    if not isinstance(value, bool):
        msg = f"{name} is true or false"
        raise MessageError(msg)
    return value


def _number(told: dict[str, Any], name: str) -> int:
    value = told.get(name)
    if type(value) is not int or not 0 <= value < 1 << 53:
        msg = f"{name} is a whole number"
        raise MessageError(msg)
    return value


def _tempo(told: dict[str, Any]) -> BeatsPerMinute:
    value = told.get("tempo")
    if type(value) not in {int, float}:
        msg = "a tempo is a number"
        raise MessageError(msg)
    return check_tempo(float(cast("float", value)))
