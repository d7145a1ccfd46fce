"""Markup built from values: every text is escaped, only what this module made is taken as it is."""

from __future__ import annotations

import html

EMPTY = frozenset({"br", "meta", "hr", "rect", "circle", "line", "path"})


class Markup(str):
    """Text that is already markup."""

    __slots__ = ()


def text(value: object) -> Markup:
    """A value as markup: escaped, unless it is markup already."""
    return value if isinstance(value, Markup) else Markup(html.escape(str(value), quote=True))


def join(parts: list[Markup], between: str = "") -> Markup:
    """Pieces of markup one after another."""
    return Markup(between.join(parts))


def tag(name: str, /, *children: object, **attributes: object) -> Markup:
    """An element; attributes that are None are left out, `class_` writes class, `_` writes a hyphen."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{text(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if name in EMPTY and not children:
        return Markup(f"<{name}{written}>") if name in ("br", "meta", "hr") else Markup(f"<{name}{written}/>")
    return Markup(f"<{name}{written}>{''.join(text(child) for child in children)}</{name}>")


def row(head: object, *cells: object, class_: str | None = None) -> Markup:
    """A table row whose first cell names it."""
    return tag("tr", tag("th", head, scope="row"), *(tag("td", cell) for cell in cells), class_=class_)


def table(caption: object, heads: list[str], rows: list[Markup], class_: str | None = None) -> Markup:
    """A table with a caption and column heads."""
    top = tag("thead", tag("tr", *(tag("th", head, scope="col") for head in heads)))
    return tag("table", tag("caption", caption), top, tag("tbody", *rows), class_=class_)
