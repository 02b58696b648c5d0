"""Known words on a sound -> when each is heard, and which of them are in doubt. Works on samples, never on files."""
