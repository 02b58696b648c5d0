"""English words: dictionary, breaks, figures, and a guess for unknown words."""
