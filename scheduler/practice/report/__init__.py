"""The report: where a player stands, as values; `show/report` draws them."""
