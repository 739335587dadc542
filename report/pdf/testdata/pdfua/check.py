"""Checks PDFs by the rules of PDF/UA-1 in rules.py.

check.py PAPER…                   prints faults; status 1 where there are any
check.py --all PAPER…             and says of the papers together which rules applied
check.py --damage PAPER           damages the paper in many ways: each must be named
The output is JSON with --json.
"""
import json
import sys
from collections import Counter

from paper import Paper
from rules import ABSENT, OURS, PROFILE


def faults(paper, most=5):
    """The faults of a paper by rule: where the first few are."""
    found = {}
    for rule, kind, words, test in PROFILE + OURS:
        bad = [t for t in paper.things[kind] if test is None or not test(t, paper)]
        if bad:
            found[rule] = [f"{words}: {t.where}" for t in bad[:most]] + ([f"and {len(bad) - most} more"] if len(bad) > most else [])
    for kind, why in ABSENT.items():
        if paper.things[kind]:
            found.setdefault(f"absent {kind}", []).append(f"{why}: {paper.things[kind][0].where}")
    return found


def main(arguments):
    counts = Counter()
    report = {"faults": {}}
    paths = [a for a in arguments if not a.startswith("--")]
    for path in paths:
        with open(path, "rb") as f:
            paper = Paper(f.read())
        found = faults(paper)
        if found:
            report["faults"][path] = found
        counts.update({kind: len(things) for kind, things in paper.things.items()})
    if "--all" in arguments:
        rules = {}
        for rule, kind, words, test in PROFILE + OURS:
            rules[rule] = {"kind": kind, "count": counts[kind], "absent": ABSENT.get(kind, "")}
            if not counts[kind] and kind not in ABSENT:
                report["faults"].setdefault("all papers", {})[rule] = [f"none has a {kind}"]
        report["rules"] = rules
    if "--damage" in arguments:
        import damage

        report["damages"] = damage.all(paths[0], faults)
    json.dump(report, sys.stdout, indent=1)
    print()
    return 1 if report["faults"] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
