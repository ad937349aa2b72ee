"""The chart of an item's tempos is read without colour."""

from scheduler.player.facts import Pass
from scheduler.show.charts import tempo_chart
from tests.player.logs import facts


def passes(text: str) -> list[Pass]:
    return [fact for fact in facts(text) if isinstance(fact, Pass)]


def test_a_column_is_a_pass_and_a_row_a_tempo() -> None:
    played = passes(
        """
        1 1:asc:down:5 60 sloppy
        1 1:asc:down:5 60 clean
        2 1:asc:down:5 66 clean
        3 1:asc:down:5 63 sloppy 2
        """
    )

    assert tempo_chart(played, 60) == [
        "66 |   o",
        "63 |    x",
        "60 | xo",
    ]


def test_many_tempos_share_seven_rows_and_old_passes_fall_off() -> None:
    played = passes("\n".join(f"1 1:asc:down:5 {tempo} clean" for tempo in range(40, 140)))
    lines = tempo_chart(played, 60)

    assert len(lines) == 7
    assert max(map(len, lines)) <= 60
    assert lines[0].startswith("139 |")


def test_one_pass_is_one_mark() -> None:
    assert tempo_chart(passes("1 1:asc:down:5 72.5 clean"), 40) == ["72.5 | o"]
