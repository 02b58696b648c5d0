"""The real cut, read back from the edit.

In: a cut list (CMX 3600 style) or a timeline (OpenTimelineIO), as an edit writes it: :func:`timing.cut.read.read_cut`.
Then the plan, what came back and that list: :func:`timing.cut.follow.in_the_cut`. Out: the plan as before with the cut
beside it, with findings on what the cut does to it, and the same plan as it runs in the cut, for captions, the reel and
the proof.

A clip is known by its file, its reel or its id, and a file whose name says nothing by the words in it. Conventions as
everywhere: moments are exact seconds, ranges exclude their end, the cut's clock begins where the edit does.
"""
