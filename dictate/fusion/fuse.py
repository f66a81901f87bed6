from dictate.extraction import extract
from dictate.fusion.mend import mender, weights
def tidied(heard, vocabulary, cache):
    order = [n for n in weights()["listeners"]["order"] if heard.get(n)]
    main = order[0]
    words = heard[main]
    if main in weights()["listeners"]["rehear"]:
        words = mender(vocabulary, cache).mend(words, [u for n in order[1:] for u in heard[n]])
    return main, words
def fuse(heard, vocabulary, cache):
    if not any(heard.values()): return extract((), vocabulary)
    return extract(tidied(heard, vocabulary, cache)[1], vocabulary)
