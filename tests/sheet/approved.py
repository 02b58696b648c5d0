"""The pages of the hard set and of plans drawn by lot as a person approved them, each as a short mark that changes when anything on it moves.

``python -m tests.sheet.approved FOLDER`` writes every page that is not as approved into FOLDER as a picture, to be
looked at; with ``--keep`` it then approves them all.
"""

from __future__ import annotations

import argparse
import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from timing.sheet.ink import Ink, Page

APPROVED = Path(__file__).parent / "approved_pages.json"


def mark_of(page: Page) -> str:
    """Return a few characters that stand for all marks of a page, to a twentieth of a millimetre."""
    said = [f"{page.width:.1f} {page.height:.1f} {page.label} {page.outline} {page.extra_keys}"]
    for ink in (page.ink, *(ink for _, ink in page.forms)):
        said += sorted(_rows(ink))
    return hashlib.sha256("\n".join(said).encode()).hexdigest()[:10]


def _rows(ink: Ink) -> list[str]:
    rows = [f"line {pen} {_near(*ends)}" for pen, lines in ink.lines.items() for ends in lines]
    rows += [f"fill {gray} {[_near(*p) for p in shape]}" for gray, shapes in ink.fills.items() for shape in shapes]
    rows += [f"text {kind} {_near(x, y)} {text}" for kind, texts in ink.texts.items() for x, y, text in texts]
    rows += [f"up {_near(one.x, one.y)} {one.text} {one.style} {one.size}" for one in ink.turned]
    return rows + [f"link {_near(*one[:4])} {one.target}" for one in ink.links]


def _near(*places: float) -> str:
    return " ".join(f"{round(place * 20 + 1e-6):d}" for place in places)


def approved() -> dict[str, dict[str, str]]:
    return json.loads(APPROVED.read_text("utf-8")) if APPROVED.is_file() else {}


def as_approved(pages: Sequence[Page], name: str) -> None:
    """Hold pages against those that were approved under a name."""
    wanted = approved()[name]
    changed = [page.key for page in pages if wanted.get(page.key) != mark_of(page)]
    assert not changed, f"changed since they were approved: {changed}; python -m tests.sheet.approved FOLDER shows them"
    assert len(pages) == len(wanted)


def everything() -> Iterator[tuple[str, dict[str, str], Callable[[], list[bytes]]]]:
    """Yield the name, the mark of each page or screen, and the way to draw them, of each set that is approved."""
    from tests.dub.test_edition import DUBBED, dubbed
    from tests.sheet.drawn_lots import COUNT, lot
    from tests.sheet.test_geometry import CASES
    from tests.watch.reel_marks import LOTS, SHAPES, reel_mark, screen_images
    from timing.sheet.document import lay_out, render
    from timing.sheet.dub_set import lay_out_edition, render_edition
    from timing.sheet.pictures import page_images

    hard = ((case.id, *case.values, None) for case in CASES)
    for name, plan, previous in (*hard, *((f"lot {n}", *lot(n)) for n in range(COUNT))):
        printed = previous is not None
        pages = {page.key: mark_of(page) for page in lay_out(plan, previous, printed)}
        yield name, pages, lambda p=plan, q=previous, r=printed: page_images(render(p, q, r).pdf)
    for name in DUBBED:
        pages = {page.key: mark_of(page) for page in lay_out_edition(dubbed(name))}
        yield f"dub {name}", pages, lambda n=name: page_images(render_edition(dubbed(n)))
    for number in LOTS:
        plan, _ = lot(number)
        screens = {name: reel_mark(plan, shape) for name, shape in SHAPES.items()}
        yield f"reel of lot {number}", screens, lambda p=plan: screen_images(p)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--keep", action="store_true")
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    before, now = approved(), {}
    for name, marks, drawn in everything():
        now[name] = marks
        changed = [n for n, (key, mark) in enumerate(marks.items()) if before.get(name, {}).get(key) != mark]
        if changed and not given.keep:
            pictures = drawn()
            for n in changed:
                (given.folder / f"{name.replace(chr(47), chr(45))} {n + 1}.png").write_bytes(pictures[n])
        print(f"{name}: {len(changed)} of {len(marks)} pages are new or changed")
    if given.keep:
        APPROVED.write_text(json.dumps(now, indent=0, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
