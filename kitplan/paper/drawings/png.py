"""SVG to PNG, with no other fonts than the drawings' own: the same picture on every machine."""

from __future__ import annotations

from kitplan.paper.drawings.text import FAMILY, font_files

DOTS_PER_INCH = 200
MM_PER_INCH = 25.4


def png_of(svg: str, width_mm: float, dots_per_inch: float = DOTS_PER_INCH) -> bytes:
    """Return a drawing as PNG."""
    import resvg_py

    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=svg,
            dpi=96.0,
            width=round(width_mm / MM_PER_INCH * dots_per_inch),
            background="#ffffff",
            skip_system_fonts=True,
            font_files=[str(path) for path in font_files().values()],
            sans_serif_family=FAMILY,
        )
    )
