"""The flock log: what was said, what was understood, what was confirmed, and every change."""

from dictate.log.store import FlockLog

__all__ = ["FlockLog"]
