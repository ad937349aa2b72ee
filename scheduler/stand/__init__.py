"""A door: the page on a phone or tablet, and what it sends.

The page keeps every pass under an id of its own until the stand says that it is on disk; sent
twice, it is one pass. One thread works with the ledger (`desk.py`), and every request passes one
gate (`gate.py`) before anything else sees it. `session_file.py` makes the page one file that works
without a stand. This floor must not read words of a command line.
"""
