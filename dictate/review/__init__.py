"""Checking drafts: one policy without input or output, and the front ends that talk for it."""
