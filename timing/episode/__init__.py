"""Lines, songs and clips that came back, laid onto one clock: drafts in, plan lines out."""
