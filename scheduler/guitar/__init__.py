"""What is played: tunings, boxes, notes, fingers, the order of a round, keys and metronome marks.

Nothing is typed in from a chart: boxes and notes are computed from the tuning and a routine's
definition, so any tuning and any routine work. A routine is one value that never changes, and every
item carries the one it belongs to. This floor must not know of players, plans, files or dates, so
every function gives the same answer for the same arguments for ever.
"""
