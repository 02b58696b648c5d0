"""The printed set of an edition: the writer's table, then a dub sheet for each clip. An edition in, a PDF out."""

from __future__ import annotations

from timing.model.dub import Edition
from timing.sheet import furniture
from timing.sheet.document import _version
from timing.sheet.draw import About, Writer
from timing.sheet.fonts import load_typeface
from timing.sheet.frame.dub_sheets import DubSheets
from timing.sheet.ink import Ink, Page
from timing.sheet.paper import paper_size
from timing.sheet.tables.dub_table import table


def lay_out_edition(edition: Edition) -> list[Page]:
    """Return the pages with every mark in its place, before anything is drawn; one blank page without any line."""
    settings = edition.plan.settings.sheet
    face = load_typeface(settings.font)
    if not edition.lines:
        return [Page(*paper_size(settings.paper), "empty", Ink(face))]
    sheets = DubSheets(edition, face)
    pages = table(edition, face, 1, sheets.key_of)
    for number, page in enumerate(pages, 1):
        page.label = f"page {number}"
    return [*pages, *sheets.pages(len(pages))]


def render_edition(edition: Edition) -> bytes:
    """Return dub.pdf; the same edition gives the same bytes."""
    about = About(
        f"{furniture.episode_name(edition.plan)}: dub sheets ({edition.name})",
        "dub table, dub sheets",
        f"timing {_version()}",
        edition.language.replace("_", "-"),
    )
    writer = Writer(load_typeface(edition.plan.settings.sheet.font), about)
    for page in lay_out_edition(edition):
        writer.add(page)
    return writer.finish()
