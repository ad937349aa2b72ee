"""What the player can do: passes, one belief, forgetting, tempo, standing.

Here lives everything that is concluded from what was played.
This floor must not know any plan, any file, any screen or the clock: the time is an argument.
"""
