"""Where the record is kept: one SQLite file, and the ways in and out of it.

Events are only ever added: an undo, a correction or a late entry is another event, and triggers in
the schema keep it so. State, checkpoints, plans and kept looks can all be worked out again. Since
nothing that is taken in can be changed later, all of it is checked before. To merge two ledgers is
the union of their events. This floor must not decide what is played, nor how anything looks.
"""
