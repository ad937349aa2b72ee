"""Hands on: the session that is being played, its beat, keys, screen and recorder.

`hands_on.py` decides where a verdict leads, and the phone's page goes by the same rules. Beats are
absolute deadlines, so lateness never adds up. A verdict is on disk before the screen moves on, so a
crash costs at most the pass that is being played. This floor must not read any word of a command
line: a door opens the stage and hands it a session.
"""
