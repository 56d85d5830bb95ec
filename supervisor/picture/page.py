"""A page for itself: the drawing for large and small screens, and what is to be said below it.

Knows HTML, not plans. The page needs nothing from outside, holds no script, follows the
reader's light or dark screen and prints in light on A4.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256
from html import escape

from supervisor.picture.lettering import harmless
from supervisor.picture.scene import (
    COBALT,
    GRID,
    INK,
    MUTED,
    PAPER,
    STYLES,
    Role,
    Scene,
    Tone,
)
from supervisor.picture.svg import FONTS, svg_of

_NARROW_PX = 800
"""Screens below this width get the narrow drawing."""

_LOOK = """
:root {{ color-scheme: light dark; {light} }}
* {{ box-sizing: border-box; }}
html {{ -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }}
body {{
  margin: 0 auto; padding: 1rem max(1rem, env(safe-area-inset-left)) 2rem; max-width: 58rem;
  background: var(--paper); color: var(--ink); overflow-wrap: anywhere;
  font: 1rem/1.45 {fonts};
}}
svg {{ display: block; width: 100%; height: auto; }}
svg.narrow {{ display: none; }}
h2 {{
  margin: 1.75rem 0 .4rem; padding-top: .5rem; border-top: 2px solid var(--cobalt);
  font-size: 1.0625rem; line-height: 1.25;
}}
ul {{ margin: 0; padding: 0; list-style: none; }}
li {{ padding: .3rem 0; border-bottom: 1px solid var(--grid); }}
.heard-only {{
  position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%);
}}
@media screen and (max-width: {narrow_px}px) {{
  body {{ padding: .25rem .9rem 2rem; }}
  svg.wide {{ display: none; }}
  svg.narrow {{ display: block; width: calc(100% + 1.3rem); max-width: 32rem; margin: 0 -.65rem; }}
}}
@media screen and (prefers-color-scheme: dark) {{
  :root {{ {dark} }}
  {dark_shapes}
}}
@media print {{
  @page {{ size: A4; margin: 14mm; }}
  :root {{ color-scheme: light; }}
  body {{ padding: 0; max-width: none; font-size: 10pt; }}
  svg, li {{ break-inside: avoid; }}
  svg.wide {{ max-height: 255mm; }}
  h2 {{ break-after: avoid; }}
}}
"""

_NAMED = {"paper": PAPER, "ink": INK, "muted": MUTED, "grid": GRID, "cobalt": COBALT}


def head_of(title: str, style: str) -> list[str]:
    """How each page begins; ``title`` as HTML has it."""
    return [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{title}</title>",
        f"<style>{style}</style>",
        "</head>",
        "<body>",
        "<main>",
    ]


def style_hash(page: str) -> str:
    """The page's own style as a content security policy names it (CSP Level 3, 2.3.1)."""
    style = page.partition("<style>")[2].partition("</style>")[0]
    return f"sha256-{b64encode(sha256(style.encode()).digest()).decode()}"


def page_of(wide: Scene, narrow: Scene, sections: Sequence[tuple[str, Sequence[str]]]) -> str:
    """The page with both drawings; each section is a heading and the lines below it."""
    title = escape(wide.title)
    parts = [
        *head_of(title, look_of()),
        f'<h1 class="heard-only" dir="auto">{title}</h1>',
        svg_of(wide, "wide"),
        svg_of(narrow, "narrow"),
    ]
    for heading, lines in sections:
        parts.append(f'<section>\n<h2 dir="auto">{escape(harmless(heading))}</h2>')
        parts.append("<ul>")
        parts += [f'<li dir="auto">{escape(_together(harmless(line)))}</li>' for line in lines]
        parts.append("</ul>\n</section>")
    parts.append("</main>\n</body>\n</html>\n")
    return "\n".join(parts)


def _together(text: str) -> str:
    """A figure and its degrees never part at the end of a line."""
    return text.replace(" °", "\N{NO-BREAK SPACE}°")


def look_of() -> str:
    """The style of every page that holds drawings ``wide`` and ``narrow``."""
    return _LOOK.format(
        light=" ".join(f"--{name}: {tone.light};" for name, tone in _NAMED.items()),
        dark=" ".join(f"--{name}: {tone.dark};" for name, tone in _NAMED.items()),
        dark_shapes="\n  ".join(map(_dark_rule, Role)),
        fonts=FONTS,
        narrow_px=_NARROW_PX,
    )


def _dark_rule(role: Role) -> str:
    style = STYLES[role]
    tones: list[tuple[str, Tone | None]] = [("fill", style.fill), ("stroke", style.stroke)]
    rules = " ".join(f"{key}: {tone.dark};" for key, tone in tones if tone is not None)
    return f"svg .{role.value} {{ {rules} }}"
