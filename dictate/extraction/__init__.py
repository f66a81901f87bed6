"""Words → Draft: what a narration or a note says of each bird, and how sure that is."""

from dictate.extraction.assemble import extract, extract_text

__all__ = ["extract", "extract_text"]
