"""The clip table and the line list."""
