"""Memory that a model of thousands of rows has taken, given back before the next one is made."""

from __future__ import annotations

import ctypes
import gc
import sys


def give_back_memory() -> None:
    """Let go of what nothing refers to any longer, and of what the allocator keeps of it.

    The GNU allocator keeps what threads have let go of, so that the next model would come on top.
    Measured on L 0 between the coarse and the full model: 1438 MB before, 932 MB after.
    """
    gc.collect()
    if sys.platform == "linux":
        trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # other allocators have none
        if trim is not None:
            trim(0)
