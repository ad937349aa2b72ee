"""What to play when: the session of a day, the pace, and when the whole routine will be done.

A session puts a warm-up, repair, new ground and refresh into the minutes there are. The projection
plays a thousand futures from how often and how long the player really practises. Settings live
here, for they are what a plan is made with. This floor must not read a clock, a file or a screen:
time and seed are arguments, so any plan can be made again exactly.
"""
