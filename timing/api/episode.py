"""The whole job from Python: a source in, a plan out; a plan in, files out."""

from __future__ import annotations

from pathlib import Path

from timing.model import Plan


def plan(source: Path | str, out: Path | str | None = None) -> Plan:
    """Return the plan of an episode folder or a script file.

    Ids are kept from the last plan.json in ``out``, the folder the plan will be written to: the source's own output
    folder where none is given. Raises InputError for what cannot be read.

    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     script = Path(folder) / "tide.txt"
    ...     _ = script.write_text("TANSY: Where does the sea go?")
    ...     made = plan(script)
    >>> made.clips[0].id, made.clips[0].text
    ('C01', 'Where does the sea go?')
    """
    from timing.pipeline import plan_source

    return plan_source(source, None if out is None else Path(out))


def write(plan: Plan, folder: Path | str, force: bool = False) -> list[Path]:
    """Write every file of ``plan`` into ``folder``, whole or not at all, and return their paths.

    The folder's last plan.json says which printed sheets have changed. Raises OutputError when a file there was not
    written by the tool, unless ``force`` allows to replace it.
    """
    from timing.memory.earlier_plan import read_previous
    from timing.pipeline import write_plan

    out = Path(folder)
    previous = read_previous(out / "plan.json")
    return list(write_plan(plan, out, Path(plan.folder), previous, force).paths)
