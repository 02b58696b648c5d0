"""Scratch recordings in, the readings of the script's lines in them out."""
