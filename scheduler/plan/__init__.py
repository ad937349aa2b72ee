"""What to play when: settings, the cost of an item, the session, the pace, the projection.

Here lives everything that is decided about days to come.
This floor must not know any file, any screen or the clock: the time and the seed are arguments.
"""
