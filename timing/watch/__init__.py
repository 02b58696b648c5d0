"""Seeing it run: a plan in, a film or a page out.

    moments   what is true on one frame              screen, strip   where it stands, in pixels
    pictures, flashing   what the picture shows      paint, film, track   marks -> MP4 with sound
    reel      the film as a whole
    doubts, spare, page_data   what the page is given      proof, page/   the page as one file

Layout settles every position; drawing copies. The strip is the printed frame sheet's own score, running past a line.
"""
