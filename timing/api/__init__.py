"""What ``import timing`` offers, one module a subject; ``timing/__init__.py`` loads each name when it is first used."""
