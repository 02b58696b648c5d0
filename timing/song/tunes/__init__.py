"""MIDI and MusicXML files in, notes with their syllables out."""
