"""Run the program as `python -m scheduler`."""

from scheduler.cli import run

if __name__ == "__main__":
    run()
