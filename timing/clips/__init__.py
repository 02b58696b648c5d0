"""Timed lines in, clips to request out: where to cut, what to ask for, what it costs."""
