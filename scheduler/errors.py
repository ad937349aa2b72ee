"""What can go wrong, one type per cause. The text of an error is the one line that the user reads.

Every floor may raise these; `cli.edge` alone turns them into a line and an exit code. A usage
error is one that other words on the command line would mend (exit code 2); the others say that
the request can't be met (exit code 1).
"""


class SchedulerError(Exception):
    """The request can't be met: one line that says what was asked, why not, and what to do."""

    exit_code = 1


class UsageError(SchedulerError):
    """The words of the command are wrong: an option's value, or a combination of options."""

    exit_code = 2


class NeckError(UsageError):
    """A tuning or a neck that no box can be laid on."""


class RoutineError(UsageError):
    """A routine that nobody can play, or that isn't known."""


class AddressError(UsageError):
    """An address or pattern that names no item of this neck."""


class TempoError(UsageError):
    """A tempo that no metronome beats."""


class SettingError(UsageError):
    """A setting outside its range."""


class TimeError(UsageError):
    """A day or time that can't be read, or that lies in the future."""


class PlanError(SchedulerError):
    """A session or a projection that can't be made as asked."""


class RecordError(SchedulerError):
    """A record that doesn't fit what was planned or recorded before."""


class LedgerError(SchedulerError):
    """A ledger that can't be opened, read or written."""


class LogfileError(SchedulerError):
    """A log file that can't be read, with the number of the line that is wrong."""


class OutputError(SchedulerError):
    """A file that can't be written, or that is there already."""


class AssignmentError(SchedulerError):
    """An assignment that can't be read, or that asks for what the neck hasn't."""


class PlayerError(UsageError):
    """A player who isn't known, or a name that no player can have."""


class StandError(SchedulerError):
    """A stand that can't be put up where it was asked for."""


class MessageError(UsageError):
    """A message of the page that can't be read."""


class StrangerError(SchedulerError):
    """A record of nobody known here, or of somebody else than was said."""
