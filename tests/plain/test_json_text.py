"""JSON that is written piece by piece is the JSON that is written at once."""

import json

from tests.export.plans import small_plan
from timing.plain.json_text import Rows, json_bytes, json_pieces


def test_rows_are_written_as_the_list_they_stand_for():
    rows = {"sea": Rows((1, 2), lambda n: {"n": n}), "gull": Rows((), str)}
    by_hand = '{\n "sea": [\n  {\n   "n": 1\n  },\n  {\n   "n": 2\n  }\n ],\n "gull": []\n}'
    assert "".join(json_pieces(rows)) == by_hand
    assert json_bytes(rows, indent=1).decode() == by_hand + "\n"


def test_a_row_is_made_only_when_it_is_written():
    made = []
    pieces = json_pieces({"rows": Rows(range(5000), lambda n: made.append(n) or [n])})
    assert made == []
    begun = next(pieces)
    assert 0 < len(made) < 5000
    assert json.loads(begun + "".join(pieces)) == {"rows": [[n] for n in range(5000)]}


def test_letters_beyond_ascii_are_escaped_where_they_cannot_be_shown():
    assert "".join(json_pieces(["é"])) == '[\n "é"\n]'
    assert "".join(json_pieces(["é"], ascii_only=True)) == '[\n "\\u00e9"\n]'


def test_a_plan_in_rows_is_the_plan():
    plan = small_plan()
    assert len(plan.lines) > 1
    assert "".join(json_pieces(plan.json_in_rows())) == json.dumps(plan.to_json(), ensure_ascii=False, indent=1)
