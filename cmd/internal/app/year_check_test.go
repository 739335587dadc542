package app

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

// same reports whether acres are the same but for what shares leave behind.
func same(a, b float64) bool { return math.Abs(a-b) <= 1e-6*(1+math.Abs(b)) }

// expect fails where something is said that the notebook does not know.
func expect[T comparable](y *played, what string, got, want T) {
	if got != want {
		y.fail("%s: %v, want %v", what, got, want)
	}
}

// sets compares two lists whatever their order.
func sets(y *played, what string, got, want []string) {
	got, want = slices.Sorted(slices.Values(got)), slices.Sorted(slices.Values(want))
	if !slices.Equal(got, want) {
		y.fail("%s: %v, want %v", what, got, want)
	}
}

// compare holds all that the program says on a day against the notebook.
func (y *played) compare() {
	y.compareUnits()
	y.compareStandings()
	y.comparePacket()
	missed, err := y.s.missed(context.Background())
	y.must(err)
	var got, want []string
	for _, m := range missed {
		got = append(got, fmt.Sprint(m.Unit, m.Year, m.Season))
	}
	for _, b := range y.n.missed() {
		want = append(want, fmt.Sprint(b.unit, b.year, b.season))
	}
	sets(y, "missed", got, want)
	p := y.n.inForce()
	c, err := y.s.Contents(context.Background(), 0)
	if p == nil {
		if err == nil {
			y.fail("papers without a plan in force")
		}
		return
	}
	y.must(err)
	y.week, err = c.Week(context.Background())
	y.must(err)
	expect(y, "plan in force", c.Stored.Number, p.number)
	if old := c.Due.Stamp.Overtaken != ""; old != y.n.isOld(p) {
		y.fail("plan %d is called old: %q, want %v", p.number, c.Due.Stamp.Overtaken, y.n.isOld(p))
	}
	for name, stamp := range map[string]view.Stamp{"book": c.Program.Stamp, "calendar": c.Calendar.Stamp} {
		if stamp != c.Due.Stamp {
			y.fail("the %s bears %v, what is due %v", name, stamp, c.Due.Stamp)
		}
	}
	y.compareDue(c, p)
	y.compareCalendar(c, p)
	y.compareTasks(c, p)
	y.compareCrew(c, p)
	y.compareDrafts(c, p)
	y.compareBook(c, p)
	y.compareSums(c.Program, p)
	y.compareWhy(c, p)
	y.compareWeek(c, p)
}

func (y *played) compareUnits() {
	n := y.n
	rows := y.s.UnitRows()
	expect(y, "units listed", len(rows), len(n.units))
	for i := range rows {
		r := &rows[i]
		u := n.unit(r.Unit.ID)
		if u == nil {
			y.fail("%s is listed", r.Unit.ID)
			continue
		}
		s := n.state(u, n.yearOf(n.today))
		what := "units: " + u.name
		expect(y, what+" burned", r.State.Done, s.done)
		expect(y, what+" last burn", r.State.Last.On, ofCivil(s.last.on))
		age := s.before
		if s.done {
			age = 0
		}
		expect(y, what+" age", r.Age.Years, age)
		if !same(float64(r.State.Burned), s.burned) || !same(float64(r.State.Left), s.left) || !same(float64(r.Unit.Acres), u.acres) {
			y.fail("%s: %v burned, %v left of %v; want %v, %v of %v", what, r.State.Burned, r.State.Left, r.Unit.Acres, s.burned, s.left, u.acres)
		}
	}
}

// comparePacket holds what the packet says was burned against the records, and its lines
// against the acres that were promised.
func (y *played) comparePacket() {
	n := y.n
	if n.promised == 0 {
		return
	}
	packet := y.s.packet(&y.s.Contracts[0], nil, nil, nil)
	if y.alterPacket != nil {
		y.alterPacket(packet)
	}
	want, got := map[string]float64{}, map[string]float64{}
	all := 0.0
	for _, u := range n.units {
		for _, f := range u.ground.all() {
			r := f.record
			if u.inContract && !r.gone && r.kind == "prescribed" && !r.through.After(n.today) && plainYear(r.through) >= 2027 {
				want[u.name] += f.acres()
				all += f.acres()
			}
		}
	}
	for _, done := range packet.Completions {
		got[done.Unit] += done.Applied
	}
	for _, u := range n.units {
		if math.Abs(got[u.name]-want[u.name]) > 0.001 {
			y.fail("packet: %v acres applied on %s, want %v", got[u.name], u.name, want[u.name])
		}
	}
	sum := &packet.Practices[0]
	if math.Abs(sum.Applied-all) > 0.001 || math.Abs(sum.Planned-n.promised) > 0.001 {
		y.fail("packet: %v acres applied of %v planned, want %v of %v", sum.Applied, sum.Planned, all, n.promised)
	}
	// Every acre that burned is credited to a line or over, and every acre of a line is
	// credited or remains.
	if math.Abs(sum.Applied-sum.Credited-sum.Over) > 0.001 || math.Abs(sum.Planned-sum.Credited-sum.Remaining) > 0.1*float64(len(packet.Schedule)) {
		y.fail("packet: applied %v, credited %v, over %v, planned %v, remaining %v", sum.Applied, sum.Credited, sum.Over, sum.Planned, sum.Remaining)
	}
}

func (y *played) compareStandings() {
	adopted := 0
	for _, line := range y.s.PlanList() {
		want := y.n.plans[line.Number-1].standing
		if string(line.Standing.Standing) != want {
			y.fail("plan %d is %s, want %s", line.Number, line.Standing.Standing, want)
		}
		if want == "adopted" {
			adopted++
		}
	}
	if p := y.n.inForce(); p != nil && adopted != 1 || p == nil && adopted != 0 {
		y.fail("%d plans are adopted", adopted)
	}
}

// planned gives the burns of a plan in a year and season of units that are there; an
// empty season means any.
func (y *played) planned(p *ownPlan, year int, season string) (all []ownBurn) {
	for _, b := range p.burns {
		if u := y.n.unit(b.unit); u != nil && !y.n.isRetired(u) && b.year == year && (season == "" || b.season == season) && !y.isTreated(p, b) {
			all = append(all, b)
		}
	}
	return all
}

// isTreated reports whether a treatment other than fire stands in the plan as the burn
// of its first year.
func (y *played) isTreated(p *ownPlan, b ownBurn) bool {
	return b.year == p.first && y.n.isTreated(b)
}

func (y *played) compareDue(c *Contents, p *ownPlan) {
	n, due := y.n, c.Due
	season, year := n.coming()
	if due.Season != season || int(due.Year) != year {
		y.fail("due is %s %d, want %s %d", due.Season, due.Year, season, year)
		return
	}
	first, last := n.span(season, year)
	expect(y, "first day", due.First, ofCivil(first))
	expect(y, "last day", due.Last, ofCivil(last))
	isShown := year >= p.first && year <= p.last
	var got, want, burned, part, elsewhere, waiting []string
	acres := 0.0
	unknown := map[string]bool{} // what a unit counts as before it is bought is the plan's to say
	for _, b := range y.planned(p, year, "") {
		u := n.unit(b.unit)
		s := n.state(u, year)
		switch {
		case !isShown:
		case b.season == season:
			want = append(want, fmt.Sprintf("%s %v", b.unit, s.done))
			if !s.done {
				acres += s.left
			}
		case !s.done && !n.isOver(b):
			elsewhere = append(elsewhere, b.unit)
		}
	}
	for _, u := range n.present() {
		s := n.state(u, year)
		switch {
		case s.done && s.burned > 0 && n.hasFire(u, year):
			burned = append(burned, u.name)
		case s.burned > 0:
			part = append(part, u.name)
		}
		planned := slices.ContainsFunc(y.planned(p, year, ""), func(b ownBurn) bool { return b.unit == u.name && (b.season == season || !n.isOver(b)) })
		if isShown && slices.Contains(p.units, u.name) && !s.done && !planned && !n.isBoughtAfter(u, p.first) && y.aged(u, year, p) >= u.max && n.isOwnedAtEnd(u, year) {
			waiting = append(waiting, u.name)
		}
		if n.isBoughtAfter(u, p.first) {
			unknown[u.name] = true
		}
	}
	for _, row := range due.Units {
		got = append(got, fmt.Sprintf("%s %v", row.Unit, row.Done))
		u := n.unit(row.Unit)
		s := n.state(u, year)
		what := "due: " + row.Unit
		expect(y, what+" last burn", row.LastBurn, ofCivil(n.lastBurn(u.ground, year)))
		if !same(float64(row.Left), s.left) || !same(float64(row.Burned), s.burned) {
			y.fail("%s: %v left, %v burned; want %v, %v", what, row.Left, row.Burned, s.left, s.burned)
		}
		if row.Done {
			if len(row.Windows)+len(row.Tasks) > 0 || row.OverdueIfRested || row.NoWindow != nil {
				y.fail("%s burned and has windows %v, tasks %v", what, row.Windows, row.Tasks)
			}
			continue
		}
		if !n.isBoughtAfter(u, p.first) {
			expect(y, what+" age", row.AgeBefore, y.aged(u, year-1, p))
			expect(y, what+" overdue if rested", row.OverdueIfRested, y.aged(u, year-1, p)+1 >= u.max)
		}
		y.compareWindows(what, row.Windows, n.usable(u, season, year), u)
		if (len(row.Windows) == 0) != (row.NoWindow != nil) {
			y.fail("%s: %d windows, and no window because %v", what, len(row.Windows), row.NoWindow)
		}
	}
	sets(y, "due", got, want)
	if !same(float64(due.Acres), acres) {
		y.fail("due: %v acres, want %v", due.Acres, acres)
	}
	names := func(all []view.BurnedUnit) (names []string) {
		for _, b := range all {
			names = append(names, b.Unit)
		}
		return names
	}
	sets(y, "due: burned", names(due.Burned), burned)
	sets(y, "due: burned in part", names(due.Unfinished), part)
	got = nil
	for _, o := range due.Elsewhere {
		got = append(got, o.Unit)
	}
	sets(y, "due: other seasons", got, elsewhere)
	got = nil
	for _, w := range due.Waiting {
		if !unknown[w.Unit] {
			got = append(got, w.Unit)
		}
	}
	sets(y, "due: overdue and not planned", got, waiting)
	sheet, err := c.Sheet()
	y.must(err)
	got, want = nil, nil
	for _, u := range sheet.Units {
		got = append(got, u.Unit)
	}
	for _, u := range due.Open() {
		want = append(want, u.Unit)
	}
	sets(y, "sheet", got, want)
}

func (n *notebook) isBoughtAfter(u *ownUnit, year int) bool {
	return !u.from.IsZero() && plainYear(u.from) > year
}

// aged gives the age at the end of a year: from the records up to the year under way,
// then by the plan's burns that are still ahead. A unit of which nothing is known has
// its longest interval behind it before the plan begins.
func (y *played) aged(u *ownUnit, year int, p *ownPlan) int {
	age, _ := y.n.age(u, p.first-1)
	for at := p.first; at <= year; at++ {
		age++
		ahead := slices.ContainsFunc(p.burns, func(b ownBurn) bool { return b.unit == u.name && b.year == at && !y.n.isOver(b) })
		if ahead || y.n.state(u, at).done {
			age = 0
		}
	}
	return age
}

// isOver reports whether the season of a burn is over.
func (n *notebook) isOver(b ownBurn) bool {
	_, last := n.span(b.season, b.year)
	return last.Before(n.today)
}

// hasFire reports whether a fire is on record in a year.
func (n *notebook) hasFire(u *ownUnit, year int) bool {
	return slices.ContainsFunc(u.ground.all(), func(f ownFire) bool {
		return !f.record.gone && isFire(f.record.kind) && n.yearOf(f.record.through) == year && !f.record.through.After(n.today)
	})
}

func (n *notebook) isOwnedAtEnd(u *ownUnit, year int) bool {
	end := civil(year, 9, 30)
	return (u.from.IsZero() || !end.Before(u.from)) && (u.until.IsZero() || !end.After(u.until))
}

// compareWindows holds windows against the days on which a unit can burn.
func (y *played) compareWindows(what string, rows []view.WindowRow, usable []time.Time, u *ownUnit) {
	in := map[date.Day]bool{}
	count := 0
	for _, w := range rows {
		count += w.UsableDays
		for d := w.First; !d.After(w.Last); d = d.AddDays(1) {
			in[d] = true
			if !y.n.isOpen(u, d.Time()) {
				y.fail("%s: %s lies in a window and is closed", what, d)
			}
		}
	}
	for _, d := range usable {
		if !in[ofCivil(d)] {
			y.fail("%s: %s is usable and in no window of %v", what, ofCivil(d), rows)
			return
		}
	}
	expect(y, what+" usable days", count, len(usable))
}

func (y *played) compareCalendar(c *Contents, p *ownPlan) {
	n, cal := y.n, c.Calendar
	year := int(cal.Year)
	var got, want []string
	for _, row := range cal.Rows {
		got = append(got, row.Unit+" "+row.Season)
		u := n.unit(row.Unit)
		y.compareWindows("calendar: "+row.Unit, row.Windows, n.usable(u, row.Season, year), u)
	}
	for _, b := range y.planned(p, year, "") {
		if year >= p.first && year <= p.last && !n.state(n.unit(b.unit), year).done {
			want = append(want, b.unit+" "+b.season)
		}
	}
	sets(y, "calendar", got, want)
	var burned []string
	for _, b := range c.Due.Burned {
		burned = append(burned, b.Unit)
	}
	sets(y, "calendar: burned", cal.Burned, burned)
	agenda, err := c.Agenda(AgendaOptions{})
	y.must(err)
	seen := map[string]bool{}
	ids := map[string]bool{}
	for _, e := range agenda.Events {
		if ids[e.UID] {
			y.fail("two events bear %s", e.UID)
		}
		ids[e.UID] = true
		u := n.unit(e.Unit)
		if u == nil || n.isRetired(u) || n.state(u, int(e.Year)).done {
			if e.Kind != view.FollowUpEvent || u == nil || n.isRetired(u) {
				y.fail("an event of %s in %d, which is gone or burned: %s", e.Unit, e.Year, e.Summary)
			}
		}
		if e.Kind == view.WindowEvent && !strings.Contains(e.Summary, "without a window") {
			seen[fmt.Sprint(e.Unit, " ", e.Year)] = true
		}
	}
	for _, b := range p.burns {
		u := n.unit(b.unit)
		if u == nil || n.isRetired(u) || n.state(u, b.year).done || y.isTreated(p, b) {
			continue
		}
		first, last := n.span(b.season, b.year)
		if key := fmt.Sprint(b.unit, " ", b.year); seen[key] != (len(n.usableFrom(u, first, last)) > 0) {
			y.fail("events of windows of %s: %v", key, seen[key])
		}
	}
}

// compareDrafts asks for the draft of each unit's next burn.
func (y *played) compareDrafts(c *Contents, p *ownPlan) {
	n := y.n
	for _, u := range n.present() {
		unit, err := FindUnit(y.s.Snapshot, u.name)
		y.must(err)
		var ahead []ownBurn
		for _, b := range p.burns {
			if b.unit == u.name && !n.isOver(b) && !n.state(u, b.year).done && !y.isTreated(p, b) {
				ahead = append(ahead, b)
			}
		}
		slices.SortFunc(ahead, func(a, b ownBurn) int { return a.year - b.year })
		burn, err := c.nextBurn(unit, 0)
		if (err == nil) != (len(ahead) > 0) {
			y.fail("the next burn of %s is %v (%v), want %v", u.name, burn, err, ahead)
			continue
		}
		if err != nil {
			continue
		}
		expect(y, "next burn of "+u.name, burn, habitat.PlannedBurn{Unit: u.name, Year: date.ProgramYear(ahead[0].year), Season: ahead[0].season})
		d, err := c.draft(unit, burn, nil)
		y.must(err)
		s, last, said := n.state(u, ahead[0].year), ofCivil(n.lastBurn(u.ground, ahead[0].year)), false
		for _, section := range d.Sections {
			for _, f := range section.Fields {
				if !strings.HasPrefix(f.Label, "Last burn") {
					continue
				}
				said = true
				says := strings.Join(f.Lines, "\n")
				if !last.IsZero() && !strings.Contains(says, last.Words()) || last.IsZero() && strings.Contains(says, "acres") && !strings.Contains(says, "in part") {
					y.fail("the draft of %s says of its last burn %q, want %v", u.name, says, last)
				}
				if s.hasLast && !isFire(s.last.kind) && !strings.Contains(says, fmt.Sprintf("%s on %s", s.last.kind, ofCivil(s.last.on).Words())) {
					y.fail("the draft of %s says %q, and nothing of %v", u.name, says, s.last)
				}
			}
		}
		expect(y, "the draft of "+u.name+" speaks of its last burn", said, true)
	}
}

func (y *played) compareBook(c *Contents, p *ownPlan) {
	n := y.n
	for _, row := range c.Program.Units {
		u := n.unit(row.ID)
		if u == nil || n.isRetired(u) {
			continue
		}
		for _, cell := range row.Cells {
			year := int(cell.Year)
			s := n.state(u, year)
			what := fmt.Sprintf("book: %s in %d", u.name, year)
			done := s.done && isFire(s.last.kind)
			expect(y, what+" done", cell.Done, done)
			if s.done && cell.Overdue {
				y.fail("%s is overdue and burned", what)
			}
			planned := slices.ContainsFunc(y.planned(p, year, ""), func(b ownBurn) bool { return b.unit == u.name })
			expect(y, what+" planned", cell.Burn, planned)
			if !n.isBoughtAfter(u, p.first) {
				expect(y, what+" age", cell.Age, y.aged(u, year, p))
				expect(y, what+" overdue", cell.Overdue, y.aged(u, year, p) >= u.max && n.isOwnedAtEnd(u, year))
			}
			missed := planned && !s.done && n.isOver(ownBurn{u.name, year, cell.Season})
			expect(y, what+" missed", cell.Missed, missed)
		}
	}
	for _, row := range c.Program.Overdue {
		u := n.unit(row.Unit)
		if u == nil || n.isRetired(u) {
			continue
		}
		for _, year := range row.Years {
			if n.state(u, int(year)).done {
				y.fail("book: %s is listed as overdue in %d, in which it burned", row.Unit, year)
			}
		}
	}
	y.comparePast(c.Program.History)
}

// compareWhy asks why each unit does what it does in each year of the plan, and holds
// the answer against the plan and the records. No second plan is made.
func (y *played) compareWhy(c *Contents, p *ownPlan) {
	n := y.n
	for _, u := range n.present() {
		for year := p.first; year <= p.last; year++ {
			if err := c.holds(u.name, date.ProgramYear(year)); err != nil {
				if slices.Contains(p.units, u.name) {
					y.fail("why %s in %d: %v", u.name, year, err)
				}
				break
			} else if !slices.Contains(p.units, u.name) {
				y.fail("why %s in %d: the plan does not know it", u.name, year)
				break
			}
			v, err := view.NewWhy(c.Plan, u.name, date.ProgramYear(year), nil)
			y.must(err)
			if y.alterWhy != nil {
				y.alterWhy(v)
			}
			what := fmt.Sprintf("why %s in %d", u.name, year)
			s := n.state(u, year)
			expect(y, what+": done", v.Done, s.done)
			said := strings.Join(append([]string{v.Headline}, v.Reasons...), " ")
			if s.done {
				expect(y, what+": burned", v.Burn, isFire(s.last.kind))
				if len(v.Obstacles) > 0 || v.Overdue || v.AgeAtEnd != 0 || !strings.Contains(said, ofCivil(s.last.on).Words()) {
					y.fail("%s, which burned on %v: %q, obstacles %v, overdue %v, age %d", what, ofCivil(s.last.on), said, v.Obstacles, v.Overdue, v.AgeAtEnd)
				}
				continue
			}
			var burns []ownBurn
			for _, b := range y.planned(p, year, "") {
				if b.unit == u.name {
					burns = append(burns, b)
				}
			}
			expect(y, what+": burns", v.Burn, len(burns) > 0)
			if len(burns) > 0 {
				expect(y, what+": season", v.Season, burns[0].season)
			}
			if !n.isBoughtAfter(u, p.first) {
				expect(y, what+": age before", v.AgeBefore, y.aged(u, year-1, p))
				expect(y, what+": age at the end", v.AgeAtEnd, y.aged(u, year, p))
				expect(y, what+": overdue", v.Overdue, y.aged(u, year, p) >= u.max && n.isOwnedAtEnd(u, year))
			}
			open := slices.ContainsFunc(n.seasons, func(season ownSeason) bool { return len(n.usable(u, season.name, year)) > 0 })
			if !open && !y.isOlder(p) && strings.Contains(said, "may burn in") {
				y.fail("%s, in which it has no usable day: %q", what, said)
			}
			lock, ok := n.locks[unitYear{u.name, year}]
			isPast := false
			if ok && lock.burn && lock.season != "" {
				_, last := n.span(lock.season, year)
				isPast = last.Before(n.today)
			}
			if !y.isOlder(p) && strings.Contains(said, "is locked.") != (ok && !isPast) || strings.Contains(said, "the lock is not counted") != isPast {
				y.fail("%s, locked %v (%v), past %v: %q", what, ok, lock, isPast, said)
			}
			for _, b := range v.Obstacles {
				if b.Requirement == problem.RequireApart && !slices.ContainsFunc(y.planned(p, year, ""), func(b ownBurn) bool { return n.apart[[2]string{min(b.unit, u.name), max(b.unit, u.name)}] }) && !y.isOlder(p) {
					y.fail("%s: %s", what, b.Words)
				}
			}
		}
	}
}

// isOlder reports whether anything changed since a plan was made, records too, or a
// season of it is over.
func (y *played) isOlder(p *ownPlan) bool {
	_, year := y.n.coming()
	return y.n.isOld(p) || year > p.first
}

// compareSums holds what burns by year, in the refuge, and the classes against the
// burns that stand: those on record, and the planned ones that are not over.
func (y *played) compareSums(v *view.Program, p *ownPlan) {
	n := y.n
	for t := range v.ByYear {
		row := &v.ByYear[t]
		year := int(row.Year)
		what := fmt.Sprintf("book: %d", year)
		var acres, rested, refuge, fresh, old, dollars float64
		burns, seasons := 0, map[string]float64{}
		for _, cells := range v.Units {
			u, share := n.unit(cells.ID), p.shared[cells.ID]
			season, stands := y.standing(p, u, cells.ID, year)
			switch {
			case !share.inMix:
			case cells.Cells[t].Age == 0:
				fresh += share.acres
			default:
				old += share.acres
			}
			if !stands {
				rested += share.acres
				continue
			}
			burns++
			acres += share.acres
			seasons[season] += share.acres
			if u != nil {
				dollars += u.dollars
			}
			if share.inRefuge {
				refuge += share.acres
			}
		}
		expect(y, what+" burns", row.Burns, burns)
		if !same(float64(row.Burned), acres) || !same(float64(row.Rested), rested) {
			y.fail("%s: %v acres burned, %v rested; want %v, %v", what, row.Burned, row.Rested, acres, rested)
		}
		for i, s := range v.Seasons {
			if got := float64(row.Seasons[i].Acres); !same(got, seasons[s.Name]) {
				y.fail("%s: %v acres in %s, want %v", what, got, s.Name, seasons[s.Name])
			}
		}
		for _, r := range v.Refuges {
			if !same(float64(r.Burned[t]), refuge) {
				y.fail("%s: %v acres of the refuge burned, want %v", what, r.Burned[t], refuge)
			}
		}
		for _, mix := range v.Mixes {
			if a, b := float64(mix.Classes[0].Years[t].Acres), float64(mix.Classes[1].Years[t].Acres); !same(a, fresh) || !same(b, old) {
				y.fail("%s: %v fresh, %v old; want %v, %v", what, a, b, fresh, old)
			}
		}
	}
}

// standing gives the season in which a unit of a plan burns in a year as things stand;
// empty for a fire outside the seasons. Of a unit that is gone the plan is all there is.
func (y *played) standing(p *ownPlan, u *ownUnit, name string, year int) (season string, stands bool) {
	n := y.n
	isGone := u == nil || n.isRetired(u)
	for _, b := range p.burns {
		if b.unit == name && b.year == year && (isGone || !y.isTreated(p, b)) {
			return b.season, isGone || !n.isOver(b) || n.state(u, year).done
		}
	}
	if isGone {
		return "", false
	}
	if s := n.state(u, year); s.done && isFire(s.last.kind) {
		season, _ = n.seasonOf(s.last.on)
		return season, true
	}
	return "", false
}

// compareWeek holds what the coming seven days ask for.
func (y *played) compareWeek(c *Contents, p *ownPlan) {
	n := y.n
	week := y.week
	var got, want []string
	for i := range week.Open {
		b := &week.Open[i]
		got = append(got, fmt.Sprint(b.Unit, b.Year, b.Season, b.Days))
		if s := n.state(n.unit(b.Unit), int(b.Year)); !same(float64(b.Left), s.left) {
			y.fail("week: %v acres left of %s, want %v", b.Left, b.Unit, s.left)
		}
	}
	for _, b := range p.burns {
		u := n.unit(b.unit)
		if u == nil || n.isRetired(u) || n.state(u, b.year).done || y.isTreated(p, b) {
			continue
		}
		var days []date.Day
		for _, d := range n.usable(u, b.season, b.year) {
			if !d.Before(n.today) && d.Before(next(n.today, 7)) {
				days = append(days, ofCivil(d))
			}
		}
		if days != nil {
			want = append(want, fmt.Sprint(b.unit, b.year, b.season, days))
		}
	}
	sets(y, "week: open", got, want)
	got, want = nil, nil
	for _, m := range week.Slipped {
		got = append(got, fmt.Sprint(m.Unit, m.Year, m.Season))
	}
	for _, b := range n.missed() {
		want = append(want, fmt.Sprint(b.unit, b.year, b.season))
	}
	sets(y, "week: slipped", got, want)
	_, year := n.coming()
	if expect(y, "week: year", int(week.Budget.Year), year); year < p.first || year > p.last {
		return
	}
	var burned, ahead float64
	for _, name := range p.units {
		u := n.unit(name)
		if u == nil || n.isRetired(u) {
			continue
		}
		switch s := n.state(u, year); {
		case s.done:
			if isFire(s.last.kind) {
				burned += u.dollars
			}
		case slices.ContainsFunc(y.planned(p, year, ""), func(b ownBurn) bool { return b.unit == name && !n.isOver(b) }):
			ahead += u.dollars
		}
	}
	// Parts share out the cents of a whole one way or another.
	if got := []float64{float64(week.Budget.Burned) / 100, float64(week.Budget.Ahead) / 100}; math.Abs(got[0]-burned) > 0.1 || math.Abs(got[1]-ahead) > 0.1 {
		y.fail("week: %v dollars burned and planned, want %v and %v", got, burned, ahead)
	}
}

// comparePast holds the years past against the records.
func (y *played) comparePast(h *view.History) {
	n := y.n
	if h == nil {
		for _, r := range n.records {
			if !r.gone && len(n.units) > 0 {
				y.fail("there are records and no years past")
				break
			}
		}
		return
	}
	judged := n.judged()
	for _, row := range h.Years {
		year := int(row.Year)
		what := fmt.Sprintf("years past: %d", year)
		var planned, touched, prescribed, wild float64
		treated := map[string]float64{}
		var missed, unplanned []string
		hasPlan := false
		for _, u := range n.units {
			s := n.state(u, year)
			isPlanned, over := false, false
			for _, b := range judged {
				if b.unit == u.name && b.year == year {
					isPlanned, over = true, over || n.isOver(b)
				}
			}
			sum := 0.0
			for _, f := range u.ground.all() {
				if f.record.gone || n.yearOf(f.record.through) != year || f.record.through.After(n.today) {
					continue
				}
				switch f.record.kind {
				case "prescribed":
					prescribed += f.acres()
					sum += f.acres()
				case "wildfire":
					wild += f.acres()
					sum += f.acres()
				case "mowing", "grazing":
					treated[f.record.kind] += f.acres()
				}
			}
			touched += math.Min(sum, u.acres)
			hasPlan = hasPlan || isPlanned
			if isPlanned {
				planned += u.acres
			}
			switch {
			case isPlanned && over && !s.done:
				missed = append(missed, u.name)
			case !isPlanned && s.done && isFire(s.last.kind):
				unplanned = append(unplanned, u.name)
			}
		}
		if !same(float64(row.Prescribed), prescribed) || !same(float64(row.Wildfire), wild) || !same(float64(row.Touched), touched) {
			y.fail("%s: %v prescribed, %v wildfire, %v touched; want %v, %v, %v", what, row.Prescribed, row.Wildfire, row.Touched, prescribed, wild, touched)
		}
		for _, kind := range []string{"mowing", "grazing"} {
			var got float64
			for _, of := range row.Treated {
				if string(of.Kind) == kind {
					got += float64(of.Acres)
				}
			}
			if !same(got, treated[kind]) {
				y.fail("%s: %v acres of %s, want %v", what, got, kind, treated[kind])
			}
		}
		if hasPlan != (row.Planned != nil) || hasPlan && !same(float64(*row.Planned), planned) {
			y.fail("%s: planned %v, want %v", what, row.Planned, planned)
		}
		sets(y, what+" missed", row.Missed, missed)
		if hasPlan {
			sets(y, what+" unplanned", row.Unplanned, unplanned)
		}
	}
}

// comparePlan holds a new plan against what can burn.
func (y *played) comparePlan(stored *StoredPlan, p *ownPlan) {
	n := y.n
	start := plainYear(n.today)
	for pair := range n.apart {
		a, b := n.unit(pair[0]), n.unit(pair[1])
		if a != nil && b != nil && !n.isRetired(a) && !n.isRetired(b) && n.state(a, start).done && n.state(b, start).done {
			start++
			break
		}
	}
	if start == plainYear(n.today) {
		var burned, all, owned float64
		for _, u := range n.present() {
			share := n.shareOf(u, start, start+2)
			if !share.inRefuge {
				continue
			}
			if all += u.acres; share.owned {
				owned += u.acres
			}
			if n.state(u, start).done {
				burned += u.acres
			}
		}
		if owned == 0 {
			owned = all
		}
		if burned > refugeShare*owned*(1+1e-6) {
			start++
		}
	}
	expect(y, "first year of the plan", p.first, start)
	in := map[unitYear]bool{}
	ages := map[string][]int{}
	for _, b := range stored.Answer.Burns {
		unit, season := stored.Problem.Units[b.Unit].ID, stored.Problem.Seasons[b.Season]
		in[unitYear{unit, b.Year}] = true
		ages[unit] = append(ages[unit], b.Year)
		u := n.unit(unit)
		if first, last := n.span(season, b.Year); !n.state(u, b.Year).done && (len(n.usable(u, season, b.Year)) == 0 || last.Before(n.today)) {
			y.fail("plan %d burns %s in %s %d (%s to %s), which has no usable day", p.number, unit, season, b.Year, first.Format(time.DateOnly), last.Format(time.DateOnly))
		}
	}
	for _, u := range n.present() {
		for year := p.first; year <= n.yearOf(n.today) && year <= p.last; year++ {
			if n.state(u, year).done && !in[unitYear{u.name, year}] && !(year > p.first && u.min > 1 && in[unitYear{u.name, year - 1}]) {
				y.fail("plan %d rests %s in %d, in which it burned", p.number, u.name, year)
			}
		}
		age, _ := n.age(u, p.first-1)
		last := p.first - 1 - age
		slices.Sort(ages[u.name])
		for _, year := range ages[u.name] {
			if year-last < u.min && !n.state(u, year).done {
				y.fail("plan %d burns %s in %d, %d years after its burn before; the least is %d", p.number, u.name, year, year-last, u.min)
			}
			last = year
		}
	}
	y.compareCrewDays(p)
	for pair := range n.apart {
		for year := p.first; year <= p.last; year++ {
			if a, b := n.unit(pair[0]), n.unit(pair[1]); in[unitYear{a.name, year}] && in[unitYear{b.name, year}] {
				y.fail("plan %d burns %s and %s, which are apart, in %d", p.number, pair[0], pair[1], year)
			}
		}
	}
	// Facts and locks may take more than the refuge allows.
	for year := p.first; year <= p.last; year++ {
		var burned, all, owned float64
		free := true
		for name, share := range p.shared {
			if !share.inRefuge {
				continue
			}
			lock, locked := n.locks[unitYear{name, year}]
			free = free && !n.state(n.unit(name), year).done && !(locked && lock.burn)
			if all += share.acres; share.owned {
				owned += share.acres
			}
			if in[unitYear{name, year}] {
				burned += share.acres
			}
		}
		if owned == 0 {
			owned = all
		}
		if free && burned > refugeShare*owned*(1+1e-6) {
			y.fail("plan %d burns %v acres of the refuge in %d; %v of %v acres may", p.number, burned, year, refugeShare, owned)
		}
	}
	for at, lock := range n.locks {
		u := n.unit(at.unit)
		if at.year < p.first || at.year > p.last || n.isRetired(u) || n.state(u, at.year).done {
			continue
		}
		if over := lock.season != "" && n.isOver(ownBurn{at.unit, at.year, lock.season}); !over && in[at] != lock.burn {
			y.fail("plan %d does not keep the lock of %v", p.number, at)
		}
	}
}
