"""What a player can do, concluded from what was played.

Facts (passes, resets, rounds, a few settings) in order of time are folded into one state; the same
facts always give the same state, in whatever order they were entered. At its centre lies one
belief: the log of the error rate per note as a sum of weights that items share, so that one never
played borrows from its neighbours. Tempo, forgetting and standing are questions to that state. This
floor must not know of plans, files or screens; the time is always an argument.
"""
