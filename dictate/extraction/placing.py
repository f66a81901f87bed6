"""Where a sign belongs: the region it is said of, and which sense of its words is meant there."""

from __future__ import annotations

from dictate.extraction.english import COPULAS, DETERMINERS, PREPOSITIONS, PRONOUNS, SHE_OR_HE
from dictate.extraction.hits import GENERAL, NORMAL, SKIN, Ref
from dictate.extraction.looking import Looker, Place
from dictate.extraction.units import Unit, unit_at
from dictate.vocabulary import Meaning

__all__ = ["Place", "Placer"]

BESIDE = frozenset("behind near beside above below beneath".split())  # near the region, not on it
BETWEEN_BIRD_AND_SIGN = frozenset("nice all and still n't not".split())
REGION_PRONOUNS = frozenset("it they that its this it's they're one".split())


class Placer(Looker):
    """Finds the place of each sign among the units of one exam."""

    def place(
        self, units: list[Unit], i: int, topic: list[Ref], fresh: bool, topic_end: int, negated: bool, said: int
    ) -> Place | None:
        """As `_place`; a region whose words also mean another gives way to it where only that takes the sign."""
        if topic and self._other_meant(units[i], topic[-1].region):
            topic = [Ref(self.regions.instead[topic[-1].region], "", topic[-1].at)]
        place = self._place(units, i, topic, fresh, topic_end, negated, said)
        if place is not None and place.explicit and self._other_meant(units[i], place.refs[-1].region):
            place.refs = [Ref(self.regions.instead[place.refs[-1].region], "", place.refs[-1].at)]
        return place

    def _other_meant(self, unit: Unit, region: str) -> bool:
        other = self.regions.instead.get(region, "")
        if not other:
            return False
        here, there = self.sense(unit, region), self.sense(unit, other)
        fits = here is not None and (here.id == NORMAL or region in here.regions or region in self.signs[here.id].usual)
        return not fits and there is not None and (other in there.regions or other in self.signs[there.id].usual)

    def _place(
        self, units: list[Unit], i: int, topic: list[Ref], fresh: bool, topic_end: int, negated: bool, said: int
    ) -> Place | None:
        """The place of the sign at unit i. `topic`: the regions last spoken of, `fresh` while nothing was
        said of them yet (their words end at `topic_end`); `said`: signs said of the topic so far."""
        unit = units[i]
        adjacent = bool(topic) and fresh and self._adjacent(units, topic_end, i)
        strong = adjacent and not topic[-1].weak and self.fits(unit, topic)
        normal = unit.signs[0].id == NORMAL
        if self._on_speaker(units, i):
            return None
        if at_home := self.at_home(units, i):
            return at_home
        if ahead_leg := self._scaly(units, i, topic if adjacent else []):
            return ahead_leg
        fixed = next((m for m in unit.signs if self.signs[m.id].always_home and not m.regions), None)
        if fixed is not None and not self._here(unit, topic if adjacent else []):
            place = self._fixed(units, i, topic, fixed, adjacent)
            if place is not None:
                return place
        ahead = self.ahead(units, i, negated, topic) or self.object_of_verb(units, i)
        if ahead is not None and ahead.refs[0].weak and topic and self._usual_here(units, i, topic, topic_end):
            return Place(topic, "region carried", ahead.end)  # "nits stuck to the feathers" of the vent
        if ahead is not None and self.fits(unit, ahead.refs):
            own = self.has_own_sign(units, ahead.end, normal)
            if (
                strong
                and topic[-1].region in self.regions.small
                and ahead.refs[0].region in self.regions.whole
                and self.fits(unit, topic)
            ):
                return Place(
                    [Ref(topic[-1].region, ahead.refs[0].side, topic[-1].at)], "region before", ahead.end, explicit=True
                )
            if strong and units[ahead.end - 1].region and any(u.low in BESIDE for u in units[i + 1 : ahead.end]):
                return Place(topic, "region before", ahead.end)
            adjective = not any(m.form.startswith("noun") for m in unit.signs)
            if normal and own:
                ahead = None
            elif not (
                strong and (own or normal or adjective or (self._same_limb(topic, ahead.refs) is False and normal))
            ):
                return ahead
        if topic and i > 1 and units[i - 1].low == "with" and units[i - 2].signs and self.fits(unit, topic):
            return Place(topic, "region before", i + 1)
        if (
            strong
            and i
            and units[i - 1].low in (":", ",")
            and i + 1 < len(units)
            and units[i + 1].region
            and (self.limb(topic[-1]) == self.regions.limb.get(units[i + 1].region) != "")
            and units[i + 1].region != topic[-1].region
            and not any(m.form.startswith("noun") for m in unit.signs)
        ):
            return Place(
                [Ref(units[i + 1].region, topic[-1].side, i + 1)], "adjective before region", i + 2, explicit=True
            )
        if strong or (adjacent and ahead is None):
            attributive = self.attributive(units, i, True) if topic[-1].weak else None
            return attributive or Place(topic, "region before", i + 1)
        attributive = self.attributive(units, i, bool(topic))
        if attributive is not None and self.fits(unit, attributive.refs):
            return attributive
        if negated and self._on_bird(units, i) and not normal:
            return Place([Ref(SKIN, at=i)], "on the bird", i + 1)
        if unit.signs[0].id in self.parasites and negated:
            if i + 1 < len(units) and units[i + 1].low in ("anywhere", "wherever", "at all", "on her anywhere"):
                return Place([Ref(SKIN, at=i)], "parasite on skin", i + 1)
            if topic and self._pronoun_ahead(units, i):
                return Place(topic, "pronoun", i + 1)
            if topic and topic[-1].region in self.regions.paired and (either := self._either_ahead(units, i)):
                return Place([Ref(topic[-1].region, "both", i)], "pronoun", either)
            if (
                topic
                and said
                and i > 1
                and units[i - 1].low.endswith((" of", " from"))
                and units[i - 2].low in ("and", "is", "are", ",")
            ):
                return Place(topic, "region before", i + 1)  # "the vent is clean and free of mites"
            if topic and said < 0:  # only parasites were said of this region so far
                return Place(topic, "region before", i + 1)
            return Place([Ref(SKIN, at=i)], "parasite on skin", i + 1)
        home = self.home(unit)
        if home is not None and not (topic and self._of_topic(units, i, topic, said, home[0])):
            return Place([r for r in topic if r.region == home[1]] or [Ref(home[1], at=i)], "natural home", i + 1)
        opens = not topic and (i == 0 or units[i - 1].hard or units[i - 1].used == "bird" or units[i - 1].low == ",")
        whole = next((m for m in unit.signs if GENERAL in m.regions), None)
        if home is None and whole is not None and (self.of_bird(units, i) or (opens and whole.id == NORMAL)):
            return Place([Ref(GENERAL, at=i)], "said of the bird", i + 1)
        meant = self.sense(unit, topic[-1].region) if topic else None
        if meant is not None and not (meant.regions and i - topic_end > 12 and not self._pronoun_subject(units, i)):
            return Place(topic, "region carried", i + 1)
        if unit.signs[0].id in self.parasites:
            return Place([Ref(SKIN, at=i)], "parasite on skin", i + 1)
        if home is not None:
            return Place([Ref(home[1], at=i)], "natural home", i + 1)
        only = {m.regions[0] for m in unit.signs if m.regions}
        if (
            len(only) == 1
            and " " in unit.low
            and not unit.cues
            and not unit.low.startswith("like")
            and all(m.regions for m in unit.signs)
        ):
            region = only.pop()
            limb = self.regions.limb.get(region)
            near = self.ahead(units, i, negated)
            source = near.refs[-1] if near is not None else topic[-1] if topic else None
            side = source.side if source is not None and limb and self.limb(source) == limb else ""
            return Place([Ref(region, side, i)], "only said of it", i + 1 if near is None else near.end)
        return None

    def _usual_here(self, units: list[Unit], i: int, topic: list[Ref], topic_end: int) -> bool:
        """The sign is common on the topic, which was named in the same sentence."""
        meaning = self.sense(units[i], topic[-1].region)
        if meaning is None or meaning.id == NORMAL or any(u.hard for u in units[topic_end:i]) or i - topic_end > 14:
            return False
        return topic[-1].region in self.signs[meaning.id].usual and topic[-1].region not in self.regions.diffuse

    def _of_topic(self, units: list[Unit], i: int, topic: list[Ref], said: int, home: Meaning) -> bool:
        """A sign with a home is said of the topic by a pronoun, or as one more sign that is usual there."""
        if self._pronoun_subject(units, i) and self.sense_fits(units[i], topic):
            return True
        return bool(said) and self._coordinated(units, i) and topic[0].region in self.signs[home.id].usual

    @staticmethod
    def of_bird(units: list[Unit], i: int) -> bool:
        """"she's bright": the subject is the bird itself."""
        for k in range(i - 1, max(-1, i - 5), -1):
            unit = units[k]
            if unit.low in SHE_OR_HE or unit.used == "bird":
                return True
            if not (
                unit.low in COPULAS
                or unit.grade
                or unit.low in BETWEEN_BIRD_AND_SIGN
                or unit.signs
                or (unit.cues and not unit.hard)
            ):
                return False
        return False

    def _scaly(self, units: list[Unit], i: int, topic: list[Ref]) -> Place | None:
        """"scaly leg on both legs": the leg is the part of it where the sign lives."""
        sign = next((self.signs[m.id] for m in units[i].signs if not m.regions), None)
        limb = self.regions.limb.get(sign.home) if sign is not None else ""
        if sign is None or not limb or sign.always_home:
            return None
        ahead = self.ahead(units, i, False)
        if ahead is None and topic and topic[-1].region == limb:
            ahead = Place(topic, "", i + 1)
        if ahead is None or any(ref.region != limb for ref in ahead.refs):
            return None
        return Place([Ref(sign.home, ref.side, ref.at) for ref in ahead.refs], "natural home", ahead.end, explicit=True)

    def sense_fits(self, unit: Unit, refs: list[Ref]) -> bool:
        """True if the sign is commonly seen on the region, or its words are used of it."""
        region = refs[-1].region
        meaning = self.sense(unit, region)
        if meaning is None:
            return False
        return region in meaning.regions or region in self.signs[meaning.id].usual

    def _here(self, unit: Unit, refs: list[Ref]) -> bool:
        """A word such as "twisted" has its own sense on the region just named."""
        return bool(refs) and any(m.regions and refs[-1].region in m.regions for m in unit.signs)

    def _fixed(self, units: list[Unit], i: int, topic: list[Ref], meaning: Meaning, adjacent: bool) -> Place | None:
        sign = self.signs[meaning.id]
        if sign.home in self.regions.paired:  # has a side, which the words around it tell
            limb = self.regions.limb[sign.home]
            ahead = self.ahead(units, i, False)
            source = ahead.refs if ahead is not None else topic if topic and self.limb(topic[-1]) == limb else []
            refs = [Ref(sign.home, ref.side, ref.at) for ref in source if self.limb(ref) == limb]
            if (
                (not refs or ahead is None)
                and (named := self.regions.read(units, i + 1))
                and (
                    (self.limb(named[0][0]) == limb and not self.has_own_predicate(units, named[1]))
                    or (self.limb(named[0][0]) == limb and named[1] < len(units) and units[named[1]].kind == "plus")
                )
            ):
                refs = [Ref(sign.home, ref.side, ref.at) for ref in named[0]]
                return Place(refs, "natural home", named[1], explicit=True)
            if not refs:
                side, _ = self.regions.side_after(units, i + 1)
                before = units[i - 1].side if i else ""
                refs = [Ref(sign.home, side or ("both" if before in ("either", "each", "neither") else before), i)]
            return Place(
                refs[-1:] if len({r.region + r.side for r in refs}) == 1 else refs,
                "natural home",
                ahead.end if ahead is not None else i + 1,
                explicit=bool(source),
            )
        ahead = self.ahead(units, i, False)
        return Place(
            [Ref(sign.home, at=i)],
            "natural home",
            i + 1 if ahead is None or sign.home not in [r.region for r in ahead.refs] else ahead.end,
        )

    def _same_limb(self, topic: list[Ref], refs: list[Ref]) -> bool:
        return any(a.region == b.region or (self.limb(a) and self.limb(a) == self.limb(b)) for a in topic for b in refs)

    @staticmethod
    def _adjacent(units: list[Unit], topic_end: int, i: int) -> bool:
        """Only small words stand between the region and the sign."""
        words = 0
        for unit in units[topic_end:i]:
            if unit.hard or unit.used == "bird" or unit.low in SHE_OR_HE:
                return False
            if (
                unit.low in COPULAS
                or unit.low in DETERMINERS
                or unit.grade
                or unit.cues
                or unit.side
                or unit.kind == "punct"
            ):
                continue
            words += 1
        return words <= 5

    @staticmethod
    def _on_speaker(units: list[Unit], i: int) -> bool:
        """"no scratch marks on me": not the bird."""
        return (
            i + 2 < len(units)
            and units[i + 1].low in ("on", "off")
            and units[i + 2].low in ("me", "us", "you", "my", "your")
        )

    @staticmethod
    def _on_bird(units: list[Unit], i: int) -> bool:
        """"no wounds on her": nowhere on the skin."""
        for k in range(i + 1, min(i + 6, len(units) - 1)):
            if units[k].hard or units[k].region:
                return False
            if units[k].low in ("on", "anywhere on") and units[k + 1].low in ("her", "him"):
                return k + 2 >= len(units) or not (units[k + 2].region or units[k + 2].side)
        return False

    @staticmethod
    def _pronoun_ahead(units: list[Unit], i: int) -> bool:
        for k in range(i + 1, min(i + 7, len(units) - 1)):
            if units[k].hard:
                return False
            if units[k].low in PREPOSITIONS and units[k + 1].low in PRONOUNS:
                follow = unit_at(units, k + 2)
                if units[k + 1].low in ("her", "him"):
                    return False
                return units[k + 1].low in ("it", "them", "there", "here") or follow is None or not follow.region
            if units[k].low in ("there", "in there", "down there"):
                return True
            if units[k].region:
                return False
        return False

    @staticmethod
    def _either_ahead(units: list[Unit], i: int) -> int:
        """"no lice on either": the unit after the word, or 0."""
        for k in range(i + 1, min(i + 4, len(units) - 1)):
            if units[k].hard or units[k].region:
                return 0
            if units[k].low in PREPOSITIONS and units[k + 1].side in ("both", "either", "neither", "each"):
                after = unit_at(units, k + 2)
                return k + 2 if after is None or not after.region else 0
        return 0

    @staticmethod
    def _pronoun_subject(units: list[Unit], i: int) -> bool:
        """"it's paralysed": the sign is said of the region last named."""
        for k in range(i - 1, max(-1, i - 5), -1):
            unit = units[k]
            if unit.low in REGION_PRONOUNS:
                return True
            if unit.low in SHE_OR_HE or unit.hard or (unit.low == "," and k < i - 1):
                return False
        return False

    @staticmethod
    def _coordinated(units: list[Unit], i: int) -> bool:
        before = unit_at(units, i - 1)
        return (
            before is not None
            and (before.low in ("and", "&") or bool(before.grade))
            and any(u.signs for u in units[max(0, i - 3) : i])
        )
