"""Several listeners → one Draft that knows who heard what."""

from dictate.fusion.fuse import fuse

__all__ = ["fuse"]
