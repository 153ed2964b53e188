"""Drawings computed from a plan: floor plans to scale, and what each operator should see.

Sheets are measured in millimetres with y downwards; venues in metres (see `shoot.venue`).
"""
