"""Optics as pure numbers: framing, focus, light and flicker; no gear records, no rounding."""
