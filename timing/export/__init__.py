"""A plan in, files for other programs out; one row of ``registry`` each."""
