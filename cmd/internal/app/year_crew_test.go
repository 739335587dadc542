package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
)

// ownCrew is who burns, and on which days.
type ownCrew struct {
	weekends bool // it works on weekends
	holidays bool // it keeps federal holidays
	off      []ownSpan
	shared   []ownShared
	people   []string // of every season
	in       map[string]int
	holds    float64 // burn days that a day holds; 0 is 1
}

type (
	ownSpan struct{ first, last time.Time }
	// ownShared are days shared with a partner.
	ownShared struct {
		partner string
		days    ownClosure
		away    bool
		people  int
	}
)

// works reports whether the crew burns on the property's ground on a day: never on its
// days off or on a partner's ground, always on days on which a partner comes.
func (c *ownCrew) works(d time.Time) bool {
	comes := false
	for _, off := range c.off {
		if !d.Before(off.first) && !d.After(off.last) {
			return false
		}
	}
	for i := range c.shared {
		if of := &c.shared[i]; of.days.holds(d) {
			if of.away {
				return false
			}
			comes = true
		}
	}
	isWeekend := d.Weekday() == time.Saturday || d.Weekday() == time.Sunday
	return comes || (c.weekends || !isWeekend) && !(c.holidays && holiday(d))
}

func (c *ownCrew) dayHolds() float64 {
	if c.holds == 0 {
		return 1
	}
	return c.holds
}

// sharedIn gives the runs of shared days from one day to another.
func (c *ownCrew) sharedIn(first, last time.Time) (all []string) {
	for i := range c.shared {
		of := &c.shared[i]
		var from time.Time
		for d := first; !d.After(last); d = next(d, 1) {
			if !of.days.holds(d) {
				continue
			}
			if from.IsZero() {
				from = d
			}
			if d.Equal(last) || !of.days.holds(next(d, 1)) {
				all = append(all, fmt.Sprint(of.partner, " ", ofCivil(from), " ", ofCivil(d), " ", of.away, " ", of.people))
				from = time.Time{}
			}
		}
	}
	return all
}

// count gives how many burn in a season, and who where names are known.
func (c *ownCrew) count(season string) (int, []string) {
	if own, ok := c.in[season]; ok {
		return own, nil
	}
	return len(c.people), c.people
}

// changeCrew changes who burns, or on which days.
func (y *played) changeCrew() {
	n, p := y.n, y.s.Property
	p.Owned = nil
	c := &n.crew
	some := func(all int) ownSpan {
		first := next(n.today, y.rng.IntN(300)-40)
		return ownSpan{first, next(first, y.rng.IntN(all))}
	}
	switch what := y.rng.IntN(8); what {
	case 0:
		c.weekends = !c.weekends
		p.Crew.Weekends = c.weekends
		y.say("weekends are worked: %v", c.weekends)
	case 1:
		c.holidays = !c.holidays
		p.Crew.FederalHolidays = c.holidays
		y.say("holidays are kept: %v", c.holidays)
	case 2:
		if y.names++; len(c.off) > 0 && y.rng.IntN(2) == 0 {
			c.off, p.Crew.Off = c.off[1:], p.Crew.Off[1:]
			y.say("the first days off are worked")
			break
		}
		off := some(40)
		c.off = append(slices.Clone(c.off), off)
		p.Crew.Off = append(slices.Clone(p.Crew.Off), date.DaysOff{Name: fmt.Sprint("leave ", y.names), Span: date.Span{First: ofCivil(off.first), Last: ofCivil(off.last)}})
		y.say("off from %s to %s", ofCivil(off.first), ofCivil(off.last))
	case 3, 4, 5:
		if y.names++; len(c.shared) > 0 && y.rng.IntN(3) == 0 {
			c.shared, p.Crew.Shared = c.shared[1:], p.Crew.Shared[1:]
			y.say("the first shared days are over")
			break
		}
		days := some(25)
		of := ownShared{partner: fmt.Sprint("Neighbors ", y.names), days: ownClosure{yearly: y.rng.IntN(3) == 0, first: days.first, last: days.last}, away: y.rng.IntN(2) == 0, people: y.rng.IntN(4)}
		one := date.SharedDays{Partner: of.partner, Away: of.away, People: of.people}
		if of.days.yearly {
			one.Yearly = &date.AnnualSpan{First: date.Annual{Month: days.first.Month(), Dom: days.first.Day()}, Last: date.Annual{Month: days.last.Month(), Dom: days.last.Day()}}
		} else {
			one.Once = &date.Span{First: ofCivil(days.first), Last: ofCivil(days.last)}
		}
		c.shared, p.Crew.Shared = append(slices.Clone(c.shared), of), append(slices.Clone(p.Crew.Shared), one)
		y.say("%s: %s to %s, yearly %v, away %v", of.partner, ofCivil(days.first), ofCivil(days.last), of.days.yearly, of.away)
	case 6:
		season := n.seasons[y.rng.IntN(len(n.seasons))].name
		if _, ok := c.in[season]; ok || y.rng.IntN(2) == 0 {
			y.names++
			c.people = append(slices.Clone(c.people), fmt.Sprint("Person ", y.names))
			p.People = habitat.Named(c.people...)
		} else {
			if c.in == nil {
				c.in = map[string]int{}
			}
			c.in[season] = 2 + y.rng.IntN(5)
			p.SeasonPeople = append(slices.Clone(p.SeasonPeople), habitat.SeasonPeople{Season: season, People: habitat.People{Count: c.in[season]}})
		}
		y.say("the crew is %v, by season %v", c.people, c.in)
	case 7:
		for was := c.holds; c.holds == was; {
			c.holds = []float64{0, 1.5, 2}[y.rng.IntN(3)]
		}
		p.DayHolds = c.holds
		y.say("a day holds %v burn days", c.holds)
	}
	_, err := y.s.ChangeSettings(context.Background(), SettingsChange{To: &p})
	y.must(err)
	n.change("settings")
}

// compareCrew holds who burns, with whom and what shares a day, against the notebook,
// wherever it is said.
func (y *played) compareCrew(c *Contents, p *ownPlan) {
	n := y.n
	due := c.Due
	first, last := n.span(due.Season, int(due.Year))
	if first.Before(n.today) {
		first = n.today
	}
	y.compareCrewIn("due", &due.Crew, p, due.Season, int(due.Year), first, last)
	sheet, err := c.Sheet()
	y.must(err)
	if was, is := strings.Join(due.Crew.Words, "\n"), strings.Join(sheet.Due.Crew.Words, "\n"); was != is {
		y.fail("the sheet says of the crew %q, what is due %q", is, was)
	}
	cal := c.Calendar
	for i := range cal.Crews {
		of := &cal.Crews[i]
		first, last := n.span(of.Season, int(cal.Year))
		if first.Before(n.today) {
			first = n.today
		}
		y.compareCrewIn("calendar: "+of.Season, &of.Crew, p, of.Season, int(cal.Year), first, last)
	}
	// The days of the calendar count the units that can burn on each.
	want := map[date.Day]int{}
	for _, row := range cal.Rows {
		for _, d := range n.usable(n.unit(row.Unit), row.Season, int(cal.Year)) {
			want[ofCivil(d)]++
		}
	}
	for i, open := range cal.Days {
		d := cal.First.AddDays(i)
		expect(y, "calendar: units open on "+d.String(), open, want[d])
	}
	week := y.week
	count, names := n.crew.count(due.Season)
	if words := week.Crew.Words[0]; count > 0 && !strings.HasPrefix(words, fmt.Sprintf("Crew of %d", count)) || !strings.Contains(words, strings.Join(names, ", ")) {
		y.fail("week: the crew is %q, want %d of %v", words, count, names)
	}
	sets(y, "week: shared days", sharedSaid(&week.Crew), n.crew.sharedIn(n.today, next(n.today, 6)))
	for _, day := range week.Crew.OneDay {
		y.compareOneDay("week", &day, p, func(d time.Time) bool { return d.Before(next(n.today, 7)) })
	}
}

func sharedSaid(c *view.Crew) (all []string) {
	for _, of := range c.Shared {
		all = append(all, fmt.Sprint(of.Partner, " ", of.First, " ", of.Last, " ", of.Away, " ", of.People))
	}
	return all
}

func (y *played) compareCrewIn(what string, c *view.Crew, p *ownPlan, season string, year int, first, last time.Time) {
	n := y.n
	count, names := n.crew.count(season)
	if expect(y, what+": people", c.People, count); !slices.Equal(c.Names, names) {
		y.fail("%s: the crew is %v, want %v", what, c.Names, names)
	}
	sets(y, what+": shared days", sharedSaid(c), n.crew.sharedIn(first, last))
	in := map[string]bool{}
	for i := range c.OneDay {
		day := &c.OneDay[i]
		if y.compareOneDay(what, day, p, func(time.Time) bool { return true }); day.Season != season || int(day.Year) != year {
			y.fail("%s: %v share a day of %s %d", what, day.Units, day.Season, day.Year)
		}
		for _, unit := range day.Units {
			if in[unit] {
				y.fail("%s: %s shares two days", what, unit)
			}
			in[unit] = true
		}
	}
	// No two others could have shared one.
	var alone []ownBurn
	for _, b := range p.burns {
		if n.isShort(b) && b.season == season && b.year == year && !in[b.unit] {
			alone = append(alone, b)
		}
	}
	for i, b := range alone {
		for _, other := range alone[:i] {
			if n.unit(b.unit).days+n.unit(other.unit).days <= n.crew.dayHolds() && len(n.common(b, other)) > 0 {
				y.fail("%s: %s and %s could share a day, and nothing says so", what, other.unit, b.unit)
			}
		}
	}
}

// isShort reports whether a burn is ahead and takes less than a day holds.
func (n *notebook) isShort(b ownBurn) bool {
	u := n.unit(b.unit)
	return u != nil && !n.isRetired(u) && !n.state(u, b.year).done && u.days < n.crew.dayHolds()
}

// common gives the days from today on on which all of some burns could be done.
func (n *notebook) common(burns ...ownBurn) (days []time.Time) {
	for i, b := range burns {
		usable := slices.DeleteFunc(n.usable(n.unit(b.unit), b.season, b.year), func(d time.Time) bool { return d.Before(n.today) })
		if i == 0 {
			days = usable
			continue
		}
		days = slices.DeleteFunc(days, func(d time.Time) bool { return !slices.ContainsFunc(usable, d.Equal) })
	}
	return days
}

// compareOneDay holds burns that are said to share a day against the days that they have.
func (y *played) compareOneDay(what string, day *view.OneDay, p *ownPlan, keep func(time.Time) bool) {
	n := y.n
	var burns []ownBurn
	sum := 0.0
	for i, name := range day.Units {
		b := ownBurn{name, int(day.Year), day.Season}
		if !slices.Contains(p.burns, b) || !n.isShort(b) {
			y.fail("%s: %s shares a day with %v, and is not planned, burned, or takes a whole day", what, name, day.Units)
			return
		}
		expect(y, what+": burn days of "+name, day.BurnDays[i], n.unit(name).days)
		sum += day.BurnDays[i]
		burns = append(burns, b)
	}
	if len(burns) < 2 || sum > n.crew.dayHolds() || day.Holds != n.crew.dayHolds() {
		y.fail("%s: %v take %v burn days of %v", what, day.Units, sum, day.Holds)
	}
	days := slices.DeleteFunc(n.common(burns...), func(d time.Time) bool { return !keep(d) })
	if len(days) == 0 {
		y.fail("%s: %v have no day in common", what, day.Units)
		return
	}
	expect(y, fmt.Sprintf("%s: days of %v", what, day.Units), day.UsableDays, len(days))
	expect(y, fmt.Sprintf("%s: first day of %v", what, day.Units), day.First, ofCivil(days[0]))
}

// compareCrewDays holds the burn days that a plan takes in each season against the days
// that the crew has for them.
func (y *played) compareCrewDays(p *ownPlan) {
	n := y.n
	for _, season := range n.seasons {
		for year := p.first; year <= p.last; year++ {
			days := map[time.Time]bool{}
			var taken, burned float64
			for _, u := range n.present() {
				for _, d := range n.usable(u, season.name, year) {
					if !d.Before(n.today) {
						days[d] = true
					}
				}
				s := n.state(u, year)
				if s.done {
					burned += u.days // on days that are over
				} else if slices.Contains(p.burns, ownBurn{u.name, year, season.name}) {
					taken += u.days
				}
			}
			if most := float64(len(days)) * n.crew.dayHolds(); taken > most+burned+1e-6 {
				y.fail("plan %d takes %v burn days in %s %d; the crew has %v", p.number, taken, season.name, year, most)
			}
		}
	}
}
