package view

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// creditLine is a row of the schedule while work is credited to it, in exact
// decimals.
type creditLine struct {
	row                           ScheduleRow
	status                        habitat.LineStatus
	planned, applied, late, early quantity.Exact
	over                          quantity.Exact
	on                            date.Day
	records                       []share
	credited                      []string
}

// counts reports that work of a unit counts for the line: that of the line's own unit,
// or of any where the line is of the whole property.
func (l *creditLine) counts(work *CompletionRow) bool {
	return l.row.Practice == work.Practice && (l.row.PropertyWide || l.row.Unit == work.Unit)
}

func (l *creditLine) lacks() quantity.Exact {
	return max(0, l.planned-l.applied-l.late-l.early)
}

// take credits up to what the line lacks.
func (l *creditLine) take(to *quantity.Exact, left quantity.Exact, work *CompletionRow) quantity.Exact {
	took := min(left, l.lacks())
	if took > 0 {
		*to += took
		l.note(took, work)
		l.credited = append(l.credited, work.Record)
	}
	return left - took
}

// share is how much of a piece of work went to a line.
type share struct {
	// unit names the unit of the work; place does within a sentence.
	work, unit, place string
	fiscal            date.FiscalYear
	// amount went to the line, over of it as more than it planned.
	amount, over quantity.Exact
}

// credited is the part of the share that made good what the line planned.
func (s *share) credited() quantity.Exact { return s.amount - s.over }

// isOf reports that the share is one of a piece of work.
func (s *share) isOf(work *CompletionRow) bool {
	return s.work == work.Record && s.unit == work.Unit
}

// note keeps which work stands behind the line's figures.
func (l *creditLine) note(amount quantity.Exact, work *CompletionRow) *share {
	l.on = work.Through
	i := slices.IndexFunc(l.records, func(s share) bool { return s.isOf(work) })
	if i < 0 {
		i = len(l.records)
		l.records = append(l.records, share{work: work.Record, unit: work.Unit, place: onPlace(work.Unit, work.PropertyWide), fiscal: work.FiscalYear})
	}
	l.records[i].amount += amount
	return &l.records[i]
}

// exceed takes what is more than the line planned.
func (l *creditLine) exceed(left quantity.Exact, work *CompletionRow) {
	l.over += left
	l.note(left, work).over += left
}

// schedule sets what was planned against what was applied. Work within a line's years
// counts for it; what is left of a unit's work is credited to its older lines that are
// short, the oldest first, then to later ones where the contract credits early work.
// What the lines of the unit itself do not take is credited to lines of the whole
// property, in the same order. What is left then is more than a line planned, or stands
// in a row of its own. Up to the tolerance it belongs to the line.
func (in *PacketInput) schedule(done []CompletionRow, now date.FiscalYear) []ScheduleRow {
	acres, land := map[string]quantity.Acres{}, map[string]string{}
	for i := range in.Units {
		u := &in.Units[i]
		acres[u.ID], land[u.ID] = u.Acres, u.Land.Besides(in.Property.Land).Words()
	}
	whole := in.wholeAcres()
	c := &in.Contract
	var lines []*creditLine
	for i := range c.Items {
		item := &c.Items[i]
		l := &creditLine{
			status:  item.Status,
			planned: quantity.ExactOf(item.Planned),
			row: ScheduleRow{Line: item.ID, Item: item.Item, Land: land[item.Unit], FiscalYear: item.FiscalYear, Until: item.Until, Practice: item.Practice,
				Unit: item.Place(), UnitAcres: acres[item.Unit], Planned: item.Planned, PropertyWide: item.IsPropertyWide()},
		}
		if item.IsPropertyWide() {
			l.row.UnitAcres = whole
		}
		if p := c.Practice(item.Practice); p != nil {
			l.row.Measure = p.Measure
		}
		lines = append(lines, l)
	}
	order := func(a, b *creditLine) int {
		return cmp.Or(
			cmp.Compare(a.row.FiscalYear, b.row.FiscalYear),
			cmp.Compare(a.row.Practice, b.row.Practice),
			falseFirst(a.row.PropertyWide, b.row.PropertyWide),
			cmp.Compare(a.row.Unit, b.row.Unit),
			cmp.Compare(a.row.Line, b.row.Line),
		)
	}
	slices.SortStableFunc(lines, order)
	for i := range done {
		work := &done[i]
		if left := quantity.ExactOf(work.Applied); left > 0 {
			if rest := in.credit(lines, work, left); rest > 0 {
				l := &creditLine{
					over: rest,
					row: ScheduleRow{
						FiscalYear:   work.FiscalYear,
						Practice:     work.Practice,
						Unit:         work.Unit,
						PropertyWide: work.PropertyWide,
						Land:         land[work.Unit],
						UnitAcres:    acres[work.Unit],
						Measure:      work.Measure,
						State:        Unasked,
					},
				}
				if work.PropertyWide {
					l.row.UnitAcres = whole
				}
				l.note(rest, work)
				lines = append(lines, l)
			}
		}
	}
	slices.SortStableFunc(lines, order)
	rows := make([]ScheduleRow, len(lines))
	for i, l := range lines {
		rows[i] = l.finished(now)
	}
	return rows
}

// credit spreads one piece of work over the lines and gives what no line takes.
func (in *PacketInput) credit(lines []*creditLine, work *CompletionRow, left quantity.Exact) quantity.Exact {
	var own, last *creditLine
	for _, isWide := range []bool{false, true} {
		var inTime *creditLine
		for _, l := range lines {
			if l.row.PropertyWide != isWide || !l.counts(work) || l.status == habitat.Canceled || l.row.Line == 0 && l.row.State == Unasked {
				continue
			}
			before := left
			if l.row.FiscalYear <= work.FiscalYear && work.FiscalYear <= l.row.LastYear() {
				left = l.take(&l.applied, left, work)
				inTime = l
			}
			if left < before {
				last = l
			}
		}
		for _, l := range lines {
			if l.row.PropertyWide != isWide || !l.counts(work) || l.status == habitat.Canceled || l.row.State == Unasked || left <= 0 {
				continue
			}
			before := left
			switch {
			case l.row.LastYear() < work.FiscalYear && l.lacks() > quantity.Tolerance:
				left = l.take(&l.late, left, work)
			case l.row.FiscalYear > work.FiscalYear && in.Contract.Early == habitat.EarlyCredited:
				left = l.take(&l.early, left, work)
			}
			if left < before {
				last = l
			}
		}
		if own == nil { // what is too much stands with the unit's own line, where it has one
			own = inTime
		}
	}
	switch {
	case left <= 0:
		return 0
	case own != nil: // more than planned, in the years in which it was due
		own.exceed(left, work)
		return 0
	case left <= quantity.Tolerance && last != nil:
		last.exceed(left, work)
		return 0
	}
	return left
}

// finished rounds nothing: it gives the decimals as numbers, and the state.
func (l *creditLine) finished(now date.FiscalYear) ScheduleRow {
	r := l.row
	r.Applied, r.Late, r.Early, r.Over = l.applied.Float(), l.late.Float(), l.early.Float(), l.over.Float()
	r.On, r.Records, r.credited = l.on, []string{}, l.credited
	for _, s := range l.records {
		on := ""
		if r.PropertyWide {
			on = " on " + s.place
		}
		r.Records = append(r.Records, fmt.Sprintf("%s%s (%s)", s.work, on, s.amount))
	}
	r.shares = l.records
	lacks := l.lacks()
	if lacks <= quantity.Tolerance || l.status != habitat.Open {
		lacks = 0
	}
	r.Remaining = lacks.Float()
	switch {
	case r.State == Unasked:
	case l.status == habitat.Canceled:
		r.State = Canceled
	case l.status == habitat.Closed && l.lacks() > quantity.Tolerance:
		r.State = Closed
	case lacks == 0:
		r.State = Applied
	case r.FiscalYear > now:
		r.State = Ahead
	case l.row.LastYear() >= now:
		r.State = UnderWay
	case l.applied+l.late+l.early > quantity.Tolerance:
		r.State = Partly
	default:
		r.State = Behind
	}
	return r
}

// sum adds the schedule up by practice and fiscal year. A year in which work was done
// and no line is due, as that of late work, has its sums as well.
func (v *Packet) sum(c *habitat.Contract) {
	for _, r := range v.Schedule {
		v.Years = append(v.Years, r.FiscalYear)
	}
	for _, done := range v.Completions {
		if done.Applied > 0 {
			v.Years = append(v.Years, done.FiscalYear)
		}
	}
	slices.Sort(v.Years)
	v.Years = slices.Compact(v.Years)
	for _, p := range c.Practices {
		v.Practices = append(v.Practices, v.sumOf(&p))
	}
}

func (v *Packet) sumOf(p *habitat.Practice) PracticeSum {
	s := PracticeSum{
		Code:     p.Code,
		Name:     p.Name,
		Standard: p.Standard,
		Measure:  p.Measure,
		Burns:    p.Burns,
		Lines:    []int{},
		Records:  []string{},
		Years:    make([]PracticeYear, len(v.Years)),
	}
	years := s.Years
	for i := range years {
		years[i].Lines, years[i].Records = []int{}, []string{}
	}
	type tally struct{ planned, credited, remaining, dueBy, behind, ahead, yearPlanned, yearCredited, yearRemaining, applied, over quantity.Exact }
	var t tally
	planned, applied := make([]quantity.Exact, len(v.Years)), make([]quantity.Exact, len(v.Years))
	var printedPlanned, printedCredited, printedRemaining, printedOver, printedYears quantity.Exact
	for _, r := range v.Schedule {
		if r.Practice != p.Code || r.State == Canceled {
			continue
		}
		exact := quantity.ExactOf[float64]
		credited := exact(r.Applied) + exact(r.Late) + exact(r.Early)
		t.planned += exact(r.Planned)
		t.credited += credited
		t.remaining += exact(r.Remaining)
		t.over += exact(r.Over)
		printedPlanned += exact(r.Planned).Tenths()
		printedCredited += exact(r.Applied).Tenths() + exact(r.Late).Tenths() + exact(r.Early).Tenths()
		printedRemaining += exact(r.Remaining).Tenths()
		printedOver += exact(r.Over).Tenths()
		switch last := r.LastYear(); {
		case r.State == Unasked:
		case last < v.FiscalYear:
			t.dueBy += exact(r.Planned)
			t.behind += exact(r.Remaining)
		case r.FiscalYear > v.FiscalYear:
			t.ahead += credited
		default:
			t.yearPlanned += exact(r.Planned)
			t.yearCredited += credited
			t.yearRemaining += exact(r.Remaining)
		}
		at := slices.Index(v.Years, r.FiscalYear)
		planned[at] += exact(r.Planned)
		if r.Line > 0 {
			s.Lines, years[at].Lines = append(s.Lines, r.Line), append(years[at].Lines, r.Line)
		}
	}
	for _, done := range v.Completions {
		if done.Practice == p.Code {
			t.applied += quantity.ExactOf(done.Applied)
			record := fmt.Sprintf("%s on %s (%s)", done.Record, onPlace(done.Unit, done.PropertyWide), quantity.ExactOf(done.Applied))
			if done.Applied > 0 {
				s.Records = append(s.Records, record)
			}
			if at := slices.Index(v.Years, done.FiscalYear); at >= 0 {
				applied[at] += quantity.ExactOf(done.Applied)
				if done.Applied > 0 {
					years[at].Records = append(years[at].Records, record)
				}
			}
		}
	}
	s.Planned, s.Credited, s.Remaining = t.planned.Float(), t.credited.Float(), t.remaining.Float()
	s.DueBy, s.Behind, s.Ahead = t.dueBy.Float(), t.behind.Float(), t.ahead.Float()
	s.YearPlanned, s.YearCredited, s.YearRemaining = t.yearPlanned.Float(), t.yearCredited.Float(), t.yearRemaining.Float()
	s.Applied, s.Over = t.applied.Float(), t.over.Float()
	for i := range v.Years {
		years[i].Planned, years[i].Applied = planned[i].Float(), applied[i].Float()
		printedYears += planned[i].Tenths()
	}
	v.foot(p, "planned", printedPlanned, t.planned)
	v.foot(p, "planned by fiscal year", printedYears, t.planned)
	v.foot(p, "credited", printedCredited, t.credited)
	v.foot(p, "remains", printedRemaining, t.remaining)
	v.foot(p, "over", printedOver, t.over)
	return s
}

// foot says where the rows, each rounded to tenths, add up to another sum than the
// one that is printed.
func (v *Packet) foot(p *habitat.Practice, column string, rows, sum quantity.Exact) {
	if rows != sum.Tenths() {
		v.Footing = append(
			v.Footing,
			fmt.Sprintf(
				"%s, %s: the rows as printed add up to %s; %s is the sum of their exact amounts, rounded once",
				p.Code,
				column,
				quantity.Group(rows.Float(), 1),
				quantity.Group(sum.Float(), 1),
			),
		)
	}
}

// version names a burn record with its version, and says when and why it was corrected.
func (in *PacketInput) version(id int64) (name string, corrected []string) {
	return versionWords(in.Versions[id], id)
}

// versionWords is version for versions that were looked up.
func versionWords(all []RecordVersion, id int64) (name string, corrected []string) {
	if len(all) == 0 {
		return fmt.Sprintf("burn %d", id), nil
	}
	for _, v := range all[1:] {
		corrected = append(corrected, fmt.Sprintf("corrected on %s because %s", v.At, because(v.Reason)))
	}
	return fmt.Sprintf("burn %d.%d", id, len(all)), corrected
}

// because gives the reason that a user gave, out of that of a change.
func because(reason string) string {
	_, why, ok := strings.Cut(reason, ": ")
	if !ok {
		return reason
	}
	return why
}

// trace says what stands behind the figures, and what should be looked at.
func (v *Packet) trace(in *PacketInput) {
	c := &in.Contract
	v.Early = map[habitat.EarlyCredit]string{habitat.EarlyCredited: "Work before its year is credited.", habitat.EarlyNotCredited: "Work before its year is not credited.",
		habitat.EarlyUnasked: "Whether work before its year is credited was not said; it is not."}[c.Early]
	if c.Early == habitat.EarlyCredited && len(c.Items) > 0 {
		v.Early = fmt.Sprintf("Work before its year is credited, from fiscal year %d on, the contract's first.", in.firstYear())
	}
	for _, m := range c.Modifications {
		v.Modifications = append(v.Modifications, ModificationRow{m.Number, m.On, m.Line, string(m.Kind), m.Was, m.Is, m.Reason})
	}
	for id, all := range in.Versions {
		if last := all[len(all)-1]; last.Removed && c.HasLineOn(last.Record.Unit) {
			v.Withdrawn = append(v.Withdrawn, WithdrawnRow{fmt.Sprintf("burn %d.%d", id, len(all)), last.Record.Unit, last.Record.On, last.At, because(last.Reason)})
		}
	}
	slices.SortFunc(v.Withdrawn, func(a, b WithdrawnRow) int {
		return cmp.Or(a.Burned.Compare(b.Burned), cmp.Compare(a.Record, b.Record))
	})
	for _, r := range v.Schedule {
		if over := quantity.ExactOf(r.Over); over > quantity.Tolerance && r.State != Unasked {
			v.Warnings = append(v.Warnings, fmt.Sprintf("line %d, %s on %s in %d: %s %s more than its %s were applied, by %s", r.Line, r.Practice, onPlace(r.Unit, r.PropertyWide), r.FiscalYear,
				quantity.Group(r.Over, 1), r.Measure, quantity.Group(r.Planned, 1), strings.Join(r.Records, ", ")))
		}
	}
	v.burnedTwice(in)
	v.doubles(in)
	var credited []string
	for _, s := range v.Practices {
		credited = append(credited, fmt.Sprintf("%s %s of %s", quantity.Group(s.Credited, 1), s.Measure, s.Code))
	}
	v.Certifies = fmt.Sprintf(
		"We certify that the work listed under completion records was done as recorded there, and that %s are credited to %s as of %s.",
		quantity.List(credited),
		c.Name,
		v.Stamp.On.Words(),
	)
}

// burnedTwice says where lines of the whole property are credited with work on a unit that
// was done on more acres in one fiscal year than the unit has: its ground burned again.
func (v *Packet) burnedTwice(in *PacketInput) {
	type place struct {
		practice, unit string
		fiscal         date.FiscalYear
	}
	lines, applied := map[place][]string{}, map[place]quantity.Exact{}
	for i := range v.Schedule {
		r := &v.Schedule[i]
		for k := range r.shares {
			s := &r.shares[k]
			at := place{r.Practice, s.unit, s.fiscal}
			if name := strconv.Itoa(r.Line); r.PropertyWide && r.Measure == habitat.InAcres && s.credited() > 0 && !slices.Contains(lines[at], name) {
				lines[at] = append(lines[at], name)
			}
		}
	}
	var order []place
	for i := range v.Completions {
		done := &v.Completions[i]
		at := place{done.Practice, done.Unit, done.FiscalYear}
		if applied[at] += quantity.ExactOf(done.Applied); lines[at] != nil && !slices.Contains(order, at) {
			order = append(order, at)
		}
	}
	for _, at := range order {
		u := slices.IndexFunc(in.Units, func(u habitat.Unit) bool { return u.ID == at.unit })
		if u < 0 || applied[at] <= quantity.ExactOf(in.Units[u].MostPlanned()) {
			continue
		}
		which := "line"
		if len(lines[at]) > 1 {
			which = "lines"
		}
		v.Warnings = append(v.Warnings, fmt.Sprintf("%s on %s in fiscal year %d: %s acres were applied on its %s; ground that burned again counts again for %s %s, of the %s",
			at.practice, at.unit, at.fiscal, quantity.Group(applied[at].Float(), 1), in.Units[u].Acres, which, quantity.List(lines[at]), habitat.WholeProperty))
	}
}

// wholeAcres adds up the acres of the units that the property has on the stamp's day.
func (in *PacketInput) wholeAcres() quantity.Acres {
	return habitat.TotalAcres(func(yield func(*habitat.Unit) bool) {
		for i := range in.Units {
			if u := &in.Units[i]; !u.Owned.EndedBefore(in.Stamp.On) && !yield(u) {
				return
			}
		}
	})
}

// falseFirst compares two answers: no comes before yes.
func falseFirst(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// doubles says which burns are credited under another contract as well, and which
// records mean other acres than their unit has now.
func (v *Packet) doubles(in *PacketInput) {
	others := make([][]ScheduleRow, len(in.Others))
	for j := range in.Others {
		o := *in
		o.Contract = in.Others[j]
		others[j] = o.schedule(o.completions(), v.FiscalYear)
	}
	for i := range in.Records {
		r := &in.Records[i]
		name, _ := in.version(r.ID)
		if !slices.ContainsFunc(v.Completions, func(c CompletionRow) bool {
			return c.Kind == habitat.Prescribed && c.Record == name && c.Unit == r.Unit
		}) {
			continue
		}
		takes := func(row ScheduleRow) bool {
			return (row.PropertyWide || row.Unit == r.Unit) && slices.Contains(row.credited, name)
		}
		for j := range others {
			if slices.ContainsFunc(v.Schedule, takes) && slices.ContainsFunc(others[j], takes) {
				v.Warnings = append(v.Warnings, fmt.Sprintf("burn %d of %s on %s is credited under %s as well", r.ID, r.Unit, r.On, in.Others[j].Name))
			}
		}
		for _, u := range in.Units {
			if u.ID == r.Unit && !r.HasAcres && r.UnitAcres > 0 && quantity.ExactOf(r.UnitAcres) != quantity.ExactOf(u.Acres) {
				v.Warnings = append(
					v.Warnings,
					fmt.Sprintf(
						"burn %d of %s means the %s acres that the unit had when it was recorded; it has %s now",
						r.ID,
						r.Unit,
						quantity.ExactOf(r.UnitAcres),
						quantity.ExactOf(u.Acres),
					),
				)
			}
		}
	}
}
