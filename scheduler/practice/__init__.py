"""What a player or a teacher asks and does: each request a function, values in, values out.

Whatever a request changes is one act of the ledger: one transaction, one line of the diary, one
undo. All doors ask here, so the command line, the stage and the phone can't behave differently.
`report/` gathers what the pictures show. This floor must not read words of a command line, print,
or look at a clock: the open ledger and the moment are handed in.
"""
