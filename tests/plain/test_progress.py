"""What a terminal shows while work goes on: by a clock that the test moves."""

from timing.commands import progress


def shown(capsys):
    return [part.strip() for part in capsys.readouterr().err.split("\r") if part.strip()]


def test_two_seconds_are_silent_then_it_says_what_is_done_and_for_how_long(capsys):
    now = [0.0]
    line = progress._Line("making the plan", lambda: now[0])
    line.show()
    line.tell(0.5, "recordings/a.wav")
    assert shown(capsys) == []
    now[0] = 2.0
    line.show()
    now[0] = 7.4
    line.show()
    line.tell(1.0, "")  # what was counted is done; the work goes on
    assert shown(capsys) == [
        "[##########..........] recordings/a.wav … 2 s", "[##########..........] recordings/a.wav … 7 s",
        "making the plan … 7 s",
    ]  # fmt: skip
    line.end()
    now[0] = 9.0
    line.show()
    assert shown(capsys) == []  # nothing is left behind, and nothing more comes


def test_a_pipe_gets_no_line(capsys):
    with progress.busy("making the plan") as bar:
        assert bar is None
    assert capsys.readouterr().err == ""


def test_twenty_marks_are_the_whole_and_a_share_is_never_less_than_nothing_or_more_than_all(capsys):
    now = [3.0]
    line = progress._Line("making the plan", lambda: now[0])
    now[0] = 5.0
    for share in (-1.0, 0.04, 0.05, 0.99):
        line.tell(share, "a")
    assert shown(capsys) == [f"[{'#' * n}{'.' * (20 - n)}] a … 2 s" for n in (0, 0, 1, 19)]
