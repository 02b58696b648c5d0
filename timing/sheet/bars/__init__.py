"""Sheets that run across the page: bar sheets for songs, strips for speech."""
