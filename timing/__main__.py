"""``python -m timing`` is the program."""

from timing.cli import main

main()
