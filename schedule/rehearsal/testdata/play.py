# A rehearsal played a second time, from its description alone: an independent
# check of schedule/rehearsal. It shares nothing with the program. Plans are found
# by trying them all: the cheapest, and among those within 1e-9 of it the first in
# the order of years, then units, where resting comes before the seasons.
import json, sys


def meets(total, limit):
    return limit is None or total <= limit + max(1, abs(limit)) / 1e6


def outside(value, low, high):
    return (max(0, low - value) if low is not None else 0) + (max(0, value - high) if high is not None else 0)


class Property:
    def __init__(self, d):
        self.__dict__.update(d)
        self.n = len(self.units)
        self.plans = {}

    def year_cost(self, ages, season):
        """Shortfall of one year from the ages at its end."""
        w, total = self.weights, 0
        burned = sum(u["acres"] for u, s in zip(self.units, season) if s is not None)
        for u, age, s in zip(self.units, ages, season):
            if age >= u["max"]:
                total += w["overdue"] * u["acres"] * (1 + self.growth * min(age - u["max"], self.growth_years))
            if s is not None:
                total += w["season"] * u["penalty"][s] * u["acres"]
        total += w["evenness"] * outside(burned, self.even_lo, self.even_hi)
        for a, b in self.neighbors:
            if season[a] is not None and season[b] is not None:
                total += w["neighbors"] * min(self.units[a]["acres"], self.units[b]["acres"])
        for m, classes in enumerate(self.mixes):
            of = [(u["acres"], age) for u, age in zip(self.units, ages) if u["mix"] == m]
            whole = sum(a for a, _ in of)
            for c in classes:
                held = sum(a for a, age in of if c["from"] <= age and (c["to"] is None or age <= c["to"]))
                total += w["mix"] * outside(held, c["min"] * whole, c["max"] * whole)
        return total

    def allowed(self, caps, season):
        """May these units burn in one year, resting aside?"""
        burns = [(u, s) for u, s in zip(self.units, season) if s is not None]
        if not meets(sum(u["acres"] for u, _ in burns), caps["acres"]) or not meets(len(burns), caps["burns"]):
            return False
        for s, cap in enumerate(caps["days"]):
            if not meets(sum(u["days"] for u, t in burns if t == s), cap):
                return False
        for a, b in self.apart:
            if season[a] is not None and season[b] is not None:
                return False
        for r, share in enumerate(self.refuges):
            mine = [u for u in self.units if u["refuge"] == r]
            if not meets(sum(u["acres"] for u, _ in burns if u["refuge"] == r), share * sum(u["acres"] for u in mine)):
                return False
        return True

    def is_closed(self, i, k, s):
        return [i, k, s] in self.closed

    def choices(self, k, ages):
        """Every way to burn in a year, in the order of units."""
        def extend(i, season):
            if i == self.n:
                if self.allowed(self.caps[k], season):
                    yield list(season)
                return
            u = self.units[i]
            options = [None]
            if ages[i] + 1 >= u["min"]:
                options += [s for s, p in enumerate(u["penalty"]) if p >= 0 and not self.is_closed(i, k, s)]
            for s in options:
                yield from extend(i + 1, season + [s])
        yield from extend(0, [])

    def plan(self, k, ages, before):
        """The best plan made at the start of year k; before is the plan of the year before."""
        kept = None
        if before is not None and self.keep_years > 0:
            kept = before[1:1 + min(self.keep_years, self.plan_years - 1)]
        key = (k, tuple(ages), json.dumps(kept))
        if key not in self.plans:
            best = [float("inf"), None]
            self.search(k, 0, ages, 0, [], kept, best)
            self.plans[key] = best[1]
        return self.plans[key]

    def keep_cost(self, t, season, kept):
        if kept is None or t >= len(kept):
            return 0
        return self.weights["keep"] * sum(u["acres"] for u, s, b in zip(self.units, season, kept[t]) if (s is None) != (b is None))

    def search(self, k, t, ages, cost, plan, kept, best):
        if cost >= best[0] - 1e-9:
            return
        if t == self.plan_years + self.lookahead:
            best[0], best[1] = cost, plan
            return
        for season in self.choices(k + t, ages):
            after = [0 if s is not None else a + 1 for a, s in zip(ages, season)]
            more = self.year_cost(after, season) + self.keep_cost(t, season, kept)
            self.search(k, t + 1, after, cost + more, plan + [season], kept, best)

    def plan_cost(self, ages, plan, kept):
        total = 0
        for t, season in enumerate(plan):
            ages = [0 if s is not None else a + 1 for a, s in zip(ages, season)]
            total += self.year_cost(ages, season) + self.keep_cost(t, season, kept)
        return total

    def waits(self, ages, plan, kept, t):
        """What it would cost to rest each unit that burns in year t of a plan."""
        whole, out = self.plan_cost(ages, plan, kept), {}
        for i, s in enumerate(plan[t]):
            if s is not None:
                other = [list(season) for season in plan]
                other[t][i] = None
                out[i] = round(1e6 * (self.plan_cost(ages, other, kept) - whole))
        return out


class Year:
    def __init__(self, prop, rule, k, record, ages):
        self.p, self.rule, self.k, self.record, self.ages = prop, rule, k, record, ages
        self.burned = [None] * prop.n   # season in which each burned
        self.held = [None] * prop.n     # season for which a place is held
        self.spent = [0] * len(prop.seasons)

    def caps(self):
        c = dict(self.p.caps[self.k])
        c["days"] = [None if d is None else d * self.rule["crews"] + self.rule["extra"] - w for d, w in zip(c["days"], self.spent)]
        return c

    def admit(self, i, s):
        if self.held[i] is not None:
            return False
        trial = list(self.held)
        trial[i] = s
        if self.p.allowed(self.caps(), trial):
            self.held[i] = s
            return True
        return False

    def may_burn(self, i, s):
        u = self.p.units[i]
        return self.burned[i] is None and u["penalty"][s] >= 0 and self.ages[i] + 1 >= u["min"] and not self.p.is_closed(i, self.k, s)

    def is_day(self, i, s, day):
        return day in self.p.usable[self.k][s][i] and day in self.p.candidates[self.record][i][s]

    def play(self, s, units):
        """units are in their order. Gives what is left of the days each needs."""
        need = {i: self.p.units[i]["days"] for i in units}
        extra = self.rule["extra"]

        def take(day, left):
            for i in units:
                if self.burned[i] is not None or not self.is_day(i, s, day) or left <= 1e-9 < need[i]:
                    continue
                if self.held[i] is None and not self.admit(i, s):
                    continue
                part = min(left, need[i])
                left -= part
                need[i] -= part
                if need[i] <= 1e-9:
                    self.burned[i] = s
            return left

        def someone(day):
            for i in units:
                if self.burned[i] is None and self.is_day(i, s, day):
                    if self.held[i] is not None:
                        return True
                    if self.admit(i, s):
                        self.held[i] = None
                        return True
            return False

        for day in self.p.season_days[self.k][s]:
            left = take(day, self.p.day_holds * self.rule["crews"])
            if extra > 0 and left <= 1e-9 and someone(day):
                extra -= 1
                take(day, 1)
        for i in units:
            if self.burned[i] is None and self.held[i] is not None:
                self.held[i] = None
                self.spent[s] += self.p.units[i]["days"] - need[i]
                need[i] = "missed"
        return [i for i in units if need[i] == "missed"]

    def follow(self, plan, wait, wait_next):
        today = {s: [] for s in range(len(self.p.seasons))}
        order = sorted(wait, key=lambda i: (-wait[i], i))
        for i in order:
            if self.may_burn(i, plan[0][i]) and self.admit(i, plan[0][i]):
                today[plan[0][i]].append(i)
        for s in range(len(self.p.seasons)):
            planned = sorted(today[s], key=lambda i: (-wait[i], i))
            more = []
            if self.rule["ahead"]:
                more = [i for i in wait_next if self.held[i] is None and self.may_burn(i, s)]
                more.sort(key=lambda i: (-wait_next[i], i))
            for i in self.play(s, planned + more):
                if i not in planned or not self.rule["second_chance"]:
                    continue
                for later in range(s + 1, len(self.p.seasons)):
                    if self.may_burn(i, later):
                        if self.admit(i, later):
                            today[later].append(i)
                        break

    def burn_due(self):
        for s in range(len(self.p.seasons)):
            due = []
            for i, u in enumerate(self.p.units):
                late = self.ages[i] + 1 - u["max"]
                better = any(0 <= u["penalty"][t] < u["penalty"][s] and self.p.usable[self.k][t][i] and not self.p.is_closed(i, self.k, t) for t in range(s + 1, len(self.p.seasons)))
                if self.may_burn(i, s) and late >= -1 and not better:
                    due.append((-late, -u["acres"], i))
            self.play(s, [i for _, _, i in sorted(due)])


def play(prop, rule, drawn):
    ages, total, before, burns = [u["age"] for u in prop.units], 0, None, []
    for k, record in enumerate(drawn):
        year = Year(prop, rule, k, record, ages)
        if rule["most_overdue_first"]:
            year.burn_due()
        else:
            plan = prop.plan(k, ages, before)
            kept = None
            if before is not None and prop.keep_years > 0:
                kept = before[1:1 + min(prop.keep_years, prop.plan_years - 1)]
            wait_next = prop.waits(ages, plan, kept, 1) if len(plan) > 1 else {}
            year.follow(plan, prop.waits(ages, plan, kept, 0), wait_next)
            before = plan
        ages = [0 if s is not None else a + 1 for a, s in zip(ages, year.burned)]
        total += prop.year_cost(ages, year.burned)
        burns.append(year.burned)
    return {"shortfall": total, "burned": burns}


work = json.load(sys.stdin)
prop = Property(work["property"])
json.dump([[play(prop, rule, drawn) for drawn in work["futures"]] for rule in work["rules"]], sys.stdout)
