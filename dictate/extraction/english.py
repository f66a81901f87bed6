"""Small words of English that the rules look at: what is of no trade, and so not in the lexicon."""

from __future__ import annotations

__all__ = [
    "ARTICLES",
    "COPULAS",
    "DETERMINERS",
    "JOIN",
    "POSSESSIVE",
    "PREPOSITIONS",
    "PRONOUNS",
    "SHE_OR_HE",
    "SUBJECTS",
]

ARTICLES = frozenset("a an some one two three few several her his the".split())
# and the verbs that stand like them
COPULAS = frozenset(
    "is are was were 's 're be been looks look feels feel seems seem has have had got gets being stays "
    "looking feeling appears appear remains sounds sound smells smell".split()
)
DETERMINERS = frozenset("the a an her his its their this that these those some any my each 's she he".split())
JOIN = frozenset("and & + / or nor , plus".split())  # what joins the members of a list
POSSESSIVE = frozenset("the her his its their this that these those both".split())
PREPOSITIONS = frozenset(
    "on in at of from under to by over around round about behind between inside beneath below above near "
    "along across through underneath into off down up for against within beside onto alongside".split()
)
PRONOUNS = frozenset("it them there that those these here him her this".split())
SUBJECTS = frozenset("she he she's he's i i'm i've i'll there there's we they it it's you".split())  # open a new clause
SHE_OR_HE = frozenset("she he she's he's".split())  # the bird as subject
