"""Settings that do nothing are said, those in use are not."""

from timing.pipeline import plan_source


def test_takes_that_name_a_second_in_a_file_are_in_use(tmp_path):
    (tmp_path / "script.txt").write_text("TANSY: Where is Bram's sea?\n", "utf-8")
    (tmp_path / "recordings").mkdir()
    (tmp_path / "recordings" / "memo.wav").write_bytes(b"")
    (tmp_path / "episode.toml").write_text(
        '[takes]\n1 = "recordings/memo.wav@41.5"\n[cast.Tansy]\npace = 1.1\n[say]\n"bram\'s" = "brams"\n', "utf-8"
    )
    codes = {f.code for f in plan_source(tmp_path).findings}
    assert not codes & {"take-missing", "take-unused", "cast-unused", "say-unused"}


def test_a_name_nobody_bears_and_a_missing_take_are_named(tmp_path):
    (tmp_path / "script.txt").write_text("TANSY: Where is the sea?\n", "utf-8")
    (tmp_path / "episode.toml").write_text('[cast.TANSEY]\npace = 1.1\n[takes]\n1 = "recordings/x.wav"\n', "utf-8")
    messages = " ".join(f.message for f in plan_source(tmp_path).findings)
    assert "did you mean TANSY" in messages
    assert "recordings/x.wav" in messages
