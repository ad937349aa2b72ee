"""How it looks: screens, calendar, tablature, pictures, click tracks, JSON, pages.

Values come in; text, bytes or something for rich go out. What one thing is called stands in one
place (`words.py`), so all screens say it alike; pages are templates in which everything is escaped.
`report/` draws. This floor must not open a ledger or know a command: it takes from `practice` its
values only.
"""
