"""Records of the day: what a plan says about its clock. No solver types.

Seconds count from the downbeat of a pass (below zero before it), those of the work between passes
from the end of the pass before. Cameras are named by pass and letter, things by unit id.
"""
