"""Where the record is kept: the schema, the events, what is derived from them, log files.

Here lives everything that touches SQLite or a file of the player's.
This floor must not know any screen or command.
"""
