"""What the parts of the reader share: its finders and the hooks they call in each other."""

from __future__ import annotations

from dictate.extraction.english import ARTICLES, JOIN, PREPOSITIONS
from dictate.extraction.hits import NORMAL, Ref
from dictate.extraction.mender import Mender
from dictate.extraction.placing import Place, Placer
from dictate.extraction.regions import RegionReader
from dictate.extraction.state import State
from dictate.extraction.units import Unit
from dictate.vocabulary import Vocabulary

__all__ = ["ReaderBase", "fronted_by"]

LISTING = frozenset("and or nor any , &".split())


def fronted_by(units: list[Unit], i: int) -> bool:
    """A preposition stands before unit i."""
    return i > 0 and units[i - 1].low in PREPOSITIONS


LONGEST_LIST = 10  # signs under one negation


class ReaderBase:
    """Finders of one vocabulary; topics, signs and cues build on this."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.regions = RegionReader(vocabulary)
        self.placer = Placer(vocabulary, self.regions)
        self.mender = Mender(self.placer, self.regions)
        self.reach = {cue.id: cue.reach for cue in vocabulary.cues.values()}
        self.signs = vocabulary.signs
        self.denied = {
            (region, word): sign.id
            for sign in vocabulary.signs.values()
            for region, words in sign.denied.items()
            for word in words
        }
        self.any_bird = frozenset(w.id for w in vocabulary.birds.values() if w.role in ("sex", "bird"))

    def scored_region(self, unit: Unit) -> str:
        """"keel score one, slight deviation": the region of a score is the one spoken of."""
        for kind in unit.measures:
            region = kind.removesuffix(" score")
            if region != kind and region in self.regions.regions:
                return region
        return ""

    def list_follows(self, s: State, i: int) -> bool:
        """After a comma or "and": the next piece is one more bare sign of the same list."""
        j = i + 1
        while j < len(s.units) and (s.units[j].low in LISTING or s.units[j].low in JOIN):
            j += 1
        if j >= len(s.units):
            return False
        unit = s.units[j]
        if unit.hard or unit.used or unit.muted or not unit.signs or unit.signs[0].id == NORMAL or unit.region:
            return False
        if any(u.grade or u.low in ARTICLES for u in s.units[i:j]):
            return False
        joined = any(u.low in ("or", "nor", "and") for u in s.units[i:j])
        return joined or unit.signs[0].id in self.placer.parasites or self._closes_as_list(s, j)

    @staticmethod
    def _closes_as_list(s: State, j: int) -> bool:
        """Bare signs from unit j on, parted by commas, up to "or", "and" or a place: "cuts, scabs, bruises on …";
        bare things ("cuts", not "soiled") also up to the end of the sentence."""
        for k, unit in enumerate(s.units[j : j + 2 * LONGEST_LIST], j):
            if unit.low in ("or", "nor", "and") or unit.low in PREPOSITIONS:
                return True
            if unit.hard:
                return all(m.form.startswith("noun") for u in s.units[j - 2 : k] for m in u.signs[:1])
            if not (unit.signs and not unit.region and unit.signs[0].id != NORMAL) and unit.low not in (
                ",",
                "any",
                "&",
                "/",
            ):
                return False
        return False

    def sign(self, s: State, i: int, place: Place | None = None) -> int:
        """Deal with the sign at unit i; the next unit to look at."""
        raise NotImplementedError

    def lend_side(self, s: State, ref: Ref, i: int) -> Ref:
        """The region with the side that the talk lends it."""
        raise NotImplementedError

    def denies_before(self, s: State, i: int) -> bool:
        """True if the word at unit i denies what stands before it."""
        raise NotImplementedError

    def take_topic(self, s: State, i: int, refs: list[Ref], stop: int, fronted: bool) -> int:
        """Take up a new topic; the next unit to look at."""
        raise NotImplementedError
