"""Tables for a terminal: plain, wrapped to its width, the same when written to a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dictate.review.wording import printable

__all__ = ["print_table"]


def print_table(head: Sequence[str], rows: Iterable[Sequence[str]], title: str = "") -> None:
    """Print rows under their headings."""
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(box=box.SIMPLE_HEAD)
    for name in head:
        table.add_column(name)
    for row in rows:
        table.add_row(*(Text(printable(cell)) for cell in row))
    console = Console()
    if not console.is_terminal:
        console = Console(width=110)
    if title:  # not the table's own title, which is broken at the width of a narrow table
        console.print(Text(printable(title)))
    console.print(table)
