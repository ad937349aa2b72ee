"""Upneck: a scheduler for a long alternate-picking routine on the guitar."""

__version__ = "0.1.0"
