"""A recording of a song in, its tempo, beats and bars out."""
