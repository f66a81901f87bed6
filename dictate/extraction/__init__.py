"""Words → Draft: what a narration or a note says of each bird, and how sure that is."""

from dictate.extraction.assemble import extract, extract_text
from dictate.extraction.judging import negated

__all__ = ["extract", "extract_text", "negated"]
