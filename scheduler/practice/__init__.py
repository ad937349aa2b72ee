"""What a player asks and does: the session of a day, record, undo, reset, round, settings, answers.

Here lives everything that a door (the command line, the stage, a page) lets a player do, as plain
functions: parsed values in, values out. One request is one function here, and what it changes is
one act of the ledger, taken back whole by one undo.
This floor must not read words, print, or know the environment and the clock: the time is an
argument.
"""
