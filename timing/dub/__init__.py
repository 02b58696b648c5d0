"""Another language on the same clips: a plan and its text in that language in, an :class:`Edition` out.

texts      script.LANGUAGE.fountain, lines.LANGUAGE.csv -> words by line
windows    plan -> what each clip offers         verdicts   window, length -> fits or not, by how much
songs      sung words -> the song's notes        readings   recordings.LANGUAGE -> measured lines
edition    all of it in order                    outputs    the edition's files
"""
