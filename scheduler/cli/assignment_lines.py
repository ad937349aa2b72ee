"""What a teacher assigned, as lines beside a session."""

from scheduler.practice.assignment import assignment_report
from scheduler.practice.practice import Practice


def lines_of(practice: Practice, day: int) -> list[str]:
    """Lines about an assignment that counts on a day (ordinal); none where there is none."""
    report = assignment_report(practice, day)
    if report is None or report.assigned.is_over:
        return []
    from scheduler.show.assignment import report_lines

    return report_lines(report, practice.state.routine, practice.now.date)
