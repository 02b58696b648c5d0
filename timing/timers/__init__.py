"""An untimed utterance in, the same words with times out: from the text, or from a recording."""
