"""How the English tables are made; ``tests/bench/make_english.py`` runs it."""
