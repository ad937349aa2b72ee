"""How it looks: words, tables, the calendar, JSON.

Here lives everything that a person or a program reads from the commands. Values come in; text or
rich renderables go out; nothing is printed here.
This floor must not know the ledger or the commands.
"""
