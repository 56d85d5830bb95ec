"""A drawing as SVG. Knows XML, not plans.

Colours stand on every element, so that the plainest viewer and a printer show them; each
element also has its role as a class, by which a page may give it other colours, and names in
``data-part`` what of the plan it shows.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from html import escape

from supervisor.picture.scene import STYLES, Area, Line, Picture, Point, Scene, Shape, Text

FONTS = "system-ui, -apple-system, 'Segoe UI', Roboto, 'DejaVu Sans', 'Liberation Sans', sans-serif"


def svg_of(scene: Scene, name: str = "plan") -> str:
    """The drawing as one ``<svg>`` element; ``name`` keeps its ids apart from another's.

    The texts of ``scene`` must hold no character that XML forbids.
    """
    width, height = _figure(scene.width), _figure(scene.height)
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" role="img" '
        f'aria-labelledby="{name}-title {name}-words" font-family="{FONTS}">'
    )
    parts = [
        opening,
        f'<title id="{name}-title">{escape(scene.title)}</title>',
        f'<desc id="{name}-words">{escape(scene.description)}</desc>',
        *map(_element, scene.shapes),
        "</svg>\n",
    ]
    return "\n".join(parts)


def svg_file(scene: Scene) -> str:
    """The drawing as a file of its own."""
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{svg_of(scene)}'


def data_uri(data: bytes, kind: str) -> str:
    """A picture as an address that holds it (RFC 2397)."""
    return f"data:image/{kind};base64,{b64encode(data).decode()}"


def _element(shape: Shape) -> str:
    if isinstance(shape, Picture):
        x, y = shape.at
        return (
            f'<image data-part="{shape.part}" x="{_figure(x)}" y="{_figure(y)}" '
            f'width="{_figure(shape.width)}" height="{_figure(shape.height)}" '
            f'href="{data_uri(shape.data, shape.kind)}"><title>{escape(shape.words)}</title>'
            "</image>"
        )
    part = f' data-part="{shape.part}"' if shape.part else ""
    named = f'class="{shape.role.value}"{part}'
    if isinstance(shape, Text):
        x, y = shape.at
        weight = ' font-weight="bold"' if shape.bold else ""
        anchor = f' text-anchor="{shape.anchor.value}"' if shape.anchor != "start" else ""
        return (
            f'<text {named} x="{_figure(x)}" y="{_figure(y)}" font-size="{_figure(shape.size)}"'
            f"{weight}{anchor} {_colours(shape)}>{escape(shape.text)}</text>"
        )
    tag = "polygon" if isinstance(shape, Area) else "polyline"
    return f'<{tag} {named} points="{_path(shape.points)}" {_colours(shape)}/>'


def _colours(shape: Line | Area | Text) -> str:
    style = STYLES[shape.role]
    said = [f'fill="{style.fill.light if style.fill else "none"}"']
    if style.stroke is not None:
        said.append(f'stroke="{style.stroke.light}" stroke-width="{_figure(style.width)}"')
        said.append('stroke-linejoin="round"')
    if style.dash is not None:
        said.append(f'stroke-dasharray="{" ".join(map(_figure, style.dash))}"')
    return " ".join(said)


def _path(points: Sequence[Point]) -> str:
    return " ".join(f"{_figure(x)},{_figure(y)}" for x, y in points)


def _figure(value: float) -> str:
    """A length to a hundredth, without needless noughts."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
