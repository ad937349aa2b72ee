"""The stand: today's session as a page on a phone or tablet, and what that page sends.

The page keeps every pass until this floor says that it is on disk; where the session stands is
decided here, by the same hands-on state as on the stage. What the page may do, who may ask for it,
and what comes in are checked here and nowhere else.
"""
