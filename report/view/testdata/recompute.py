"""Recomputes the figures of cost-share packets in exact decimals.

Reads JSON from standard input: a list of contracts with their lines, work and
today's fiscal year, and gives one list of rows and sums for each. Written apart from
the program, from what its documents say: work within a line's years counts for it,
then for older lines that are short by more than 0.05, oldest first, then for later
lines where early work is credited. Lines without a unit are of the whole property: what
the lines of the unit did not take goes to them, in the same order. The rest is over.
"""
import json, sys
from decimal import Decimal as D

TOLERANCE = D("0.05")


def packet(c):
    now = c["now"]
    lines = []
    for l in c["lines"]:
        lines.append(dict(l, planned=D(l["planned"]), intime=D(0), late=D(0), early=D(0), over=D(0), last=max(l["year"], l["until"])))
    lines.sort(key=lambda l: (l["year"], l["unit"] == "", l["unit"], l["line"]))
    unplanned, applied = D(0), D(0)
    for w in c["work"]:
        left = D(w["amount"])
        applied += left
        alive = [l for l in lines if l["status"] != "canceled"]
        mine = [l for l in alive if l["unit"] == w["unit"]]
        whole = [l for l in alive if l["unit"] == ""]
        got = lambda l: l["intime"] + l["late"] + l["early"]
        short = lambda l: max(D(0), l["planned"] - got(l))
        credited = None
        on_time = [l for l in mine if l["year"] <= w["year"] <= l["last"]] or [l for l in whole if l["year"] <= w["year"] <= l["last"]]
        own = on_time[-1] if on_time else None
        for group in (mine, whole):
            steps = [("intime", l) for l in group if l["year"] <= w["year"] <= l["last"]]
            steps += [("late" if l["last"] < w["year"] else "early", l) for l in group if not l["year"] <= w["year"] <= l["last"]]
            for kind, l in steps:
                if kind == "late" and short(l) <= TOLERANCE or kind == "early" and c["early"] != "credited":
                    continue
                take = min(left, short(l))
                if take > 0:
                    l[kind] += take
                    left -= take
                    credited = l
        if left > 0:
            if own:
                own["over"] += left
            elif left <= TOLERANCE and credited:
                credited["over"] += left
            else:
                unplanned += left
    sums = dict.fromkeys("planned credited remaining planned_to_date behind_to_date ahead_to_date planned_this_year credited_this_year remaining_this_year over".split(), D(0))
    sums["over"], sums["applied"] = unplanned, applied
    rows, years = [], {}
    for w in c["work"]:
        years.setdefault(w["year"], [D(0), D(0)])[1] += D(w["amount"])
    for l in lines:
        got = l["intime"] + l["late"] + l["early"]
        remaining = max(D(0), l["planned"] - got)
        if remaining <= TOLERANCE or l["status"]:
            remaining = D(0)
        rows.append([l["line"], l["planned"], l["intime"], l["late"], l["early"], l["over"], remaining])
        if l["status"] == "canceled":
            continue
        sums["planned"] += l["planned"]
        years.setdefault(l["year"], [D(0), D(0)])[0] += l["planned"]
        sums["credited"] += got
        sums["remaining"] += remaining
        sums["over"] += l["over"]
        if l["last"] < now:
            sums["planned_to_date"] += l["planned"]
            sums["behind_to_date"] += remaining
        elif l["year"] > now:
            sums["ahead_to_date"] += got
        else:
            sums["planned_this_year"] += l["planned"]
            sums["credited_this_year"] += got
            sums["remaining_this_year"] += remaining
    plain = lambda d: format(d.normalize() + 0, "f")
    return {"rows": [[r[0]] + [plain(x) for x in r[1:]] for r in rows], "years": [[y, plain(a), plain(b)] for y, (a, b) in sorted(years.items())], "sums": {k: plain(v) for k, v in sums.items()}}


json.dump([packet(c) for c in json.load(sys.stdin)], sys.stdout)
