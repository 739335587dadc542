package rehearsal

import (
	"cmp"
	"math"
	"slices"
)

// job is a unit that waits for its days in a season.
type job struct {
	unit int
	// wait is what resting it would cost the plan; the dearest goes first.
	wait float64
	// need is how many burn days it still takes, of all that it takes.
	need, all float64
	// held says that the year's requirements hold a place for it: those of the
	// plan from the start, others once they begin.
	held bool
	// locked keeps it to the season.
	locked bool
	// open are its days.
	open DaySet
	done bool
}

// enough is below which a need of burn days is rounding.
const enough = 1e-9

// byWait orders jobs: the dearest to rest first, then by unit. Figures that
// differ by rounding alone are equal.
func byWait(a, b *job) int {
	return cmp.Or(cmp.Compare(math.Round(b.wait*1e6), math.Round(a.wait*1e6)), cmp.Compare(a.unit, b.unit))
}

// playSeason plays the days of one season: on each the jobs take burn days in
// their order. It reports the units that burned by calling burned.
func (y *year) playSeason(s int, jobs []*job, burned func(*job)) {
	var all DaySet
	for _, j := range jobs {
		j.open = y.g.open(y.f, y.k, s, j.unit)
		j.all = y.g.Problem.Units[j.unit].BurnDays
		j.need = j.all
		all = all.Or(j.open)
	}
	holds := y.g.dayHolds() * float64(y.with.crews)
	extra := y.with.extraDays
	all.each(placeOf(y.g.Calendar.First[y.k][s]), func(place int) {
		left := holds
		left = y.pass(s, place, left, jobs, burned)
		if extra > 0 && left <= enough && slices.ContainsFunc(jobs, func(j *job) bool { return y.waits(s, j, place) }) {
			extra--
			y.pass(s, place, 1, jobs, burned)
		}
	})
}

// pass lets the jobs take what is left of a day, and gives what remains.
func (y *year) pass(s, place int, left float64, jobs []*job, burned func(*job)) float64 {
	for _, j := range jobs {
		if j.done || !j.open.has(place) || left <= enough && j.need > enough {
			continue
		}
		if !j.held {
			if j.held = y.limits.admit(j.unit, s); !j.held {
				continue
			}
		}
		take := min(left, j.need)
		left -= take
		if j.need -= take; j.need <= enough {
			j.done = true
			burned(j)
		}
	}
	return left
}

// waits reports whether a job could take more of a day.
func (y *year) waits(s int, j *job, place int) bool {
	if j.done || !j.open.has(place) {
		return false
	}
	if j.held {
		return true
	}
	if y.limits.admit(j.unit, s) {
		y.limits.release(j.unit, s, 0)
		return true
	}
	return false
}
