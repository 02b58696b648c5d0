"""Spoken rate against what children follow: Berry and Erickson (1973), abstract: 3.4 a second good, 4.7 worse."""

from fractions import Fraction

import pytest

from timing import plan
from timing.model.findings import FindingCode


def planned(tmp_path, toml="", script=None):
    (tmp_path / "script.txt").write_text(script or "TANSY: Where does the water go to when it goes?\n", "utf-8")
    (tmp_path / "episode.toml").write_text(toml, "utf-8")
    return plan(tmp_path)


def rate_finding(found):
    return next((f for f in found.findings if f.code is FindingCode.FAST_FOR_CHILDREN), None)


def paced(syllables_a_second, tmp_path):
    """Return the plan with a pace that makes its ten syllables run at a rate."""
    usual = planned(tmp_path).lines[0].rate
    return planned(tmp_path, f"[cast.TANSY]\npace = {usual / syllables_a_second:.4f}\n")


@pytest.mark.parametrize(("rate", "is_said"), [(3.4, False), (4.5, False), (4.8, True), (6.0, True)])
def test_from_four_point_seven_syllables_a_second_it_is_said(tmp_path, rate, is_said):
    found = paced(rate, tmp_path)
    assert found.lines[0].rate == pytest.approx(rate, rel=0.02)
    assert (rate_finding(found) is not None) == is_said


def test_the_rate_is_syllables_over_seconds(tmp_path):
    line = planned(tmp_path).lines[0]
    assert len(line.syllables) == 10  # where-does-the-wa-ter-go-to-when-it-goes, by hand
    assert line.rate == pytest.approx(float(10 / Fraction(line.end - line.start)))


def test_one_finding_names_every_line_the_fastest_first(tmp_path):
    script = "".join(f"TANSY: Where does the water go, {'very ' * n}my little one?\n" for n in range(12))
    found = rate_finding(planned(tmp_path, "[cast.TANSY]\npace = 0.7\n", script))
    assert sorted(found.facts["lines"], key=int) == [str(n) for n in range(1, 13)]
    assert found.facts["syllables_per_s"] == sorted(found.facts["syllables_per_s"], reverse=True)
    assert all(f"{n}" in found.message for n in found.facts["lines"])


def test_captions_speed_is_said_only_when_asked_for(tmp_path):
    fast = "[cast.TANSY]\npace = 0.5\n"

    def codes(plan):
        return {f.code for line in plan.lines for f in line.findings}

    assert FindingCode.CAPTION_FAST not in codes(planned(tmp_path, fast))
    assert FindingCode.CAPTION_FAST in codes(planned(tmp_path, "caption_speed = true\n" + fast))
