"""English spelling to sound by rule, for words that no dictionary knows.

Rules are tried in order at each place of the word; the first that fits gives its phones and goes
on after its letters. A rule is a regular expression over the small-letter word ("(?<=c)" and "(?=e)"
look back and ahead) and what it sounds like (- nothing). The commonest regularities of English spelling, from
common knowledge; how often they are right is measured in tests/speech/test_letter_sounds.py.
"""

from __future__ import annotations

import re

__all__ = ["spell_out"]

_RULES = """
^x → Z
^(?:kn|gn|pn) → N
^wr → R
^ps → S
^rh → R
^wh(?=o) → HH
^mc → M AH K
tion(?=s?$) → SH AH N
sion(?=s?$) → ZH AH N
cian(?=s?$) → SH AH N
(?:ci|ti|si)ous$ → SH AH S
(?:cial|tial)(?=(?:ly)?$) → SH AH L
ture(?=s?$) → CH ER
sure(?=s?$) → ZH ER
ous(?=(?:ly)?$) → AH S
able(?=s?$) → AH B AH L
ible(?=s?$) → AH B AH L
less$ → L AH S
ness$ → N AH S
ment(?=s?$) → M AH N T
(?<=[a-z]{3})age(?=s?$) → IH JH
ate(?=[sd]?$) → EY T
ed(?<=[td]ed)$ → IH D
ed(?<=[pkfscxh]ed)$ → T
ed$ → D
es(?<=[sxz]es)$ → IH Z
es(?<=[cs]hes)$ → IH Z
es(?<=[cg]es)$ → IH Z
s(?<=[aeiouybdglmnrvw]s)(?<!ss)(?<!us)(?<!is)$ → Z
le(?=s?$)(?<=[bcdfgkpstz]le) → AH L
re(?=s?$)(?<=[bcdgt]re) → ER
ism(?=s?$) → IH Z AH M
augh(?=t) → AO
ough(?=t) → AO
ough$ → AH F
igh → AY
eigh → EY
tch → CH
sch → S K
ch(?=[rln]) → K
ch(?=(?:oe|ym|yl)) → K
^ch(?=(?:lo|or|oa)) → K
ch → CH
ck → K
sh → SH
th → TH
ph → F
wh → W
gh(?=[aeiou]) → G
gh → -
ng(?=[^aeiouylr]|$) → NG
ng(?=er) → NG
n(?=[kqx]) → NG
dge → JH
qu → K W
q → K
sc(?=[eiy]) → S
ss → S
zz → Z
bb → B
dd → D
ff → F
gg → G
ll → L
mm → M
mb(?=s?$) → M
nn → N
pp → P
rr → R
tt → T
vv → V
cc(?=[eiy]) → K S
cc → K
kk → K
aigh → EY
air → EH R
are(?=[sd]?$) → EH R
ar(?=[^aeiouyr]|$) → AA R
ai → EY
ay → EY
aw → AO
au → AO
ae → IY
a(?=ll) → AO
a(?=l[dkt]) → AO
(?<=w)a(?=[nst]) → AA
a(?=[bcdfgklmnpstvz](?:e[sd]?$|ing$|er[s]?$)) → EY
a(?=[bcdfgklmnpstvz]e) → EY
a(?=ste) → EY
a(?=se$) → EY
a(?=tion) → EY
a$ → AH
(?<=^.)a(?=[^aeiouy][^aeiouy]?) → AE
a → AE
eer → IH R
ear(?=s?$) → IH R
ear(?=[a-z]) → ER
ee → IY
ea(?=(?:d|lth|ther|vy)) → EH
ea → IY
eau → OW
eu → Y UW
ew → UW
ey$ → IY
ei → IY
er(?=[^aeiouyr]|$) → ER
ere$ → IH R
e(?=[bcdfgklmnpstvz]e$) → IY
e$(?<=[aeiouy][^aeiouy]e) → -
e$(?<=[^aeiouy][^aeiouy]e) → -
e(?=[sd]$)(?<=[aeiouy][^aeiouy]e) → -
^e(?=[^aeiouy][aeiouy]) → IH
e(?=ness|ment|less|ly$) → -
^(?:b|d|r|pr)e(?=[^aeiouy][aeiouy]) → -
e$ → IY
e → EH
ie(?=s?$) → IY
ie(?=d$) → IY
ier(?=s?$) → IY ER
ie → IY
ire(?=[sd]?$) → AY ER
ir(?=[^aeiouyr]|$) → ER
i(?=(?:nd|ld)s?$) → AY
i(?=gn$) → AY
io → IY OW
ia → IY AH
i(?=[bcdfgklmnpstvz](?:e[sd]?$|ing$|ers?$)) → AY
i(?=tis$) → AY
i$ → IY
i → IH
oar → AO R
oor → AO R
our → AO R
ore(?=[sd]?$) → AO R
or(?=[^aeiouy]|$) → AO R
oa → OW
oo(?=[kd]) → UH
oo → UW
oi → OY
oy → OY
oe(?=s?$) → OW
oe → IY
ou(?=[slp]) → AW
ou → AW
ow(?=$|s$|n$|ed$|ing$) → OW
ow → AW
o(?=l[dtk]) → OW
o(?=st$) → OW
o(?=[bcdfgklmnpstvz](?:e[sd]?$|ing$|ers?$)) → OW
o$ → OW
o(?=s$) → OW
(?<=[a-z])o(?=[nm]$) → AH
o → AA
ur(?=[^aeiouyr]|$) → ER
ure(?=[sd]?$) → Y UH R
ui → UW
ue(?=s?$) → UW
u(?=[bcdfgklmnpstvz](?:e[sd]?$|ing$)) → UW
^u(?=[^aeiouy][aeiouy]) → Y UW
u(?=s$) → AH
(?<=g)u(?=[aei]) → -
u(?=[bcdfgklmnprstvz][aiouy]) → UW
u → AH
^y → Y
yr(?=[^aeiouy]|$) → ER
y(?<=^[^aeiouy]y)$ → AY
y(?<=^[^aeiouy][^aeiouy]y)$ → AY
y$ → IY
y(?=s$) → IY
y(?=[bcdfgklmnpstvz]e) → AY
(?<=[aeiou])y → Y
y → IH
b(?=t$) → -
b → B
c(?=[eiy]) → S
c(?=ia) → SH
c → K
d → D
f → F
g(?=[eiy])(?<!gg) → JH
g → G
h(?=[^aeiouy]|$) → -
h → HH
j → JH
k → K
l(?=[kf]$)(?<=al) → -
l → L
m → M
n → N
p → P
r → R
s(?=ur) → SH
(?<=[aeiou])s(?=[aeiou]) → Z
s → S
t → T
v → V
w(?=[^aeiouy]|$) → -
w → W
x → K S
z → Z
' → -
"""


def _compiled() -> tuple[tuple[re.Pattern[str], str], ...]:
    rules = []
    for line in _RULES.strip().splitlines():
        pattern, _, phones = line.partition("→")
        rules.append((re.compile(pattern.strip()), phones.strip().removeprefix("-")))
    return tuple(rules)


_TABLE = _compiled()


def spell_out(word: str) -> str:
    """The likely sound of a small-letter word, as phones parted by spaces; never empty for letters."""
    out: list[str] = []
    at = 0
    while at < len(word):
        for pattern, phones in _TABLE:
            if (match := pattern.match(word, at)) is not None and match.end() > at:
                if phones:
                    out += phones.split()
                at = match.end()
                break
        else:
            at += 1
    return " ".join(out) if out else "AH"
