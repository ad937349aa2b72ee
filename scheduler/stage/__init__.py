"""Hands on: the session that is being played, its beat, its keys, its screen, its recorder.

Here lives everything that happens while the instrument is in hand. A pass is on disk before the
screen moves on.
This floor must not read any word of a command line: a door opens the stage and hands it a session.
"""
