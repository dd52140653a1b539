"""A paper as one web page that needs nothing else: inline drawings and style, all text escaped."""

from collections.abc import Iterable
from html import escape
from importlib.resources import files

from balance.sheet.blocks import (
    TICK,
    Block,
    Bullets,
    Column,
    Heading,
    Notice,
    Paper,
    Picture,
    Side,
    Strip,
    Table,
    Text,
)

__all__ = ["set_html"]


def set_html(paper: Paper) -> str:
    """Return a paper as a self-contained web page for desk, phone and printer.

    Parameters
    ----------
    paper : Paper
        What to set.

    Examples
    --------
    >>> from balance.sheet.blocks import Text
    >>> "&lt;b&gt;" in set_html(Paper("Note", "<b>", (Text("x"),), foot=""))
    True
    """
    title = escape(f"{paper.title}: {paper.subtitle}")
    style = files("balance.sheet").joinpath("templates/paper.css").read_text(encoding="utf-8")
    banner = f'<p class="banner">{escape(paper.banner)}</p>' if paper.banner else ""
    facts = "".join(f"<div><dt>{escape(k)}</dt><dd>{escape(v)}</dd></div>" for k, v in paper.facts)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{style}</style></head><body><main>{banner}<h1>{title}</h1><dl>{facts}</dl>"
        f"{_all(paper.blocks)}<footer><p><strong>{escape(paper.aid)}</strong></p>"
        f"<p>{escape(paper.foot)}</p></footer></main></body></html>\n"
    )


def _all(blocks: Iterable[Block]) -> str:
    return "".join(_block(block) for block in blocks)


def _block(block: Block) -> str:  # noqa: PLR0911 - one return a kind of block
    match block:
        case Heading(text, _):
            return f"<h2>{escape(text)}</h2>"
        case Text(text, small):
            return f"<p{_small(small)}>{escape(text)}</p>"
        case Notice(title, text):
            return f'<p class="notice"><strong>{escape(title)}</strong> {escape(text)}</p>'
        case Bullets():
            return _bullets(block)
        case Table():
            return _table(block)
        case Picture():
            return _picture(block)
        case Strip(pictures):
            return f'<div class="strip">{_all(pictures)}</div>'
        case Side(groups):
            return f'<div class="side">{"".join(f"<div>{_all(g)}</div>" for g in groups)}</div>'


def _small(small: bool) -> str:
    return ' class="small"' if small else ""


def _bullets(block: Bullets) -> str:
    tag = "ol" if block.tick else "ul"
    box = f"{TICK} " if block.tick else ""
    items = "".join(f"<li>{box}{escape(item)}</li>" for item in block.items)
    return f"<{tag}{_small(block.small)}>{items}</{tag}>"


def _table(block: Table) -> str:
    kinds = [f' class="{column.align}"' for column in block.columns]
    head = "".join(
        f'<th scope="col"{kind}{_wide(column)}>{escape(column.head)}</th>'
        for kind, column in zip(kinds, block.columns, strict=True)
    )
    rows = "".join(
        "<tr>"
        + "".join(
            f'<td{kind} data-head="{escape(column.head)}">{escape(cell or "")}</td>'
            for kind, column, cell in zip(kinds, block.columns, row, strict=True)
        )
        + "</tr>"
        for row in block.rows
    )
    caption = f'<p class="small">{escape(block.caption)}</p>' if block.caption else ""
    body = f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return (
        f'<div class="scroll" tabindex="0" role="region" aria-label="table">{body}</div>{caption}'
    )


def _wide(column: Column) -> str:
    """Keep room in a column that is written in by hand."""
    return "" if column.width_mm is None else f' style="min-width:{column.width_mm:g}mm"'


def _picture(block: Picture) -> str:
    named = block.svg.replace("<svg ", f'<svg role="img" aria-label="{escape(block.alt)}" ', 1)
    caption = f"<figcaption>{escape(block.caption)}</figcaption>" if block.caption else ""
    return f'<figure style="width:{block.width_mm:.1f}mm">{named}{caption}</figure>'
