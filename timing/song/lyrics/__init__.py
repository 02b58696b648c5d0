"""A lyric line with its marks in, the beat of each syllable out."""
