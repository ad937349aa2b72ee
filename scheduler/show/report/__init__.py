"""The report drawn: seven pictures, each with a sentence and its numbers."""
