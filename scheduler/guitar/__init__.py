"""What is played: the neck, the boxes, the notes of an item, the order of a round, the metronome.

Here lives everything that a guitar and a metronome alone decide.
This floor must not know any date, any player, any file or any screen.
"""
