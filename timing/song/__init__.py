"""Songs: their beats and bars (``beats``), lyrics laid on them (``lyrics``), tunes from files (``tunes``)."""
