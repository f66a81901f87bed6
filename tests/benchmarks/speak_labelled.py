"""Speak a fixed part of the labelled texts in several voices, clean and over noise: folders to measure hearing with.

    python tests/benchmarks/speak_labelled.py OUT [--set tune|report] [--texts N] [--voice ENGINE:VOICE …]
        [--noise clean pink15 hum15 babble15 pink10 hum10 babble10] [--labelled FILE.jsonl] [--speaker PROGRAM]

OUT lies outside the repository. The texts are every second one that is spoken and not written, from the first
("tune": what hearing is set with) or the second ("report": what is reported), spread evenly over the file. The
voices are taken in turn, one for each text; those of the two sets are different. A folder that is there already
is left as it is. The program that speaks is ../shared/eval/speak.py, which says what the voices need.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SHARED = ROOT.parent / "shared" / "eval"
VOICES = {
    "tune": ("flite:slt", "flite:kal16", "espeak:en-us"),
    "report": ("flite:awb", "flite:rms", "festival:ked_diphone", "espeak:en-gb", "festival:cmu_us_slt_arctic_hts"),
}
NOISES = ("clean", "pink15", "hum15", "babble15", "pink10", "hum10", "babble10")


def chosen(path: Path, part: str, count: int) -> list[str]:
    """`count` lines of the labelled file, spread over the half of it that belongs to the set."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if line.strip()]
    spoken = [line for line in lines if json.loads(line)["style"] != "note"]
    half = spoken[0 if part == "tune" else 1 :: 2]
    count = min(count, len(half))
    return [half[n * len(half) // count] for n in range(count)]


def main() -> int:
    layout = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=layout)
    parser.add_argument("out", type=Path)
    parser.add_argument("--set", choices=tuple(VOICES), default="tune", dest="part")
    parser.add_argument("--texts", type=int, default=24)
    parser.add_argument("--voice", action="append", help="instead of the voices of the set")
    parser.add_argument("--noise", nargs="+", choices=NOISES, default=["clean", "pink15", "hum15", "babble15"])
    parser.add_argument("--labelled", type=Path, default=SHARED / "dev.jsonl")
    parser.add_argument("--speaker", type=Path, default=SHARED / "speak.py")
    parser.add_argument("--python", default=sys.executable, help="the Python that has the voices' packages")
    args = parser.parse_args()
    for path in (args.labelled, args.speaker):
        if not path.exists():
            sys.exit(f"speak_labelled.py: there is no {path}; name one with --labelled and --speaker")
    voices = [part for voice in args.voice or VOICES[args.part] for part in ("--voice", voice)]
    with tempfile.NamedTemporaryFile("w", suffix=".jsonl", encoding="utf-8") as texts:
        texts.write("\n".join(chosen(args.labelled, args.part, args.texts)) + "\n")
        texts.flush()
        for noise in args.noise:
            folder = args.out / f"{args.part}-{noise}"
            if (folder / "index.jsonl").exists():
                continue
            kind, level = re.fullmatch(r"([a-z]+)(\d*)", noise).groups()  # type: ignore[union-attr]
            over = [] if noise == "clean" else ["--noise", kind, "--snr", level]
            command = [args.python, str(args.speaker), texts.name, str(folder), *voices, *over]
            subprocess.run(command, check=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
