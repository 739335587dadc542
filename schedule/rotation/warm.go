package rotation

import (
	"math"
	"slices"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/bound"
	"emberquilt/schedule/rotation/internal/model"
)

// Warm is what an earlier solve leaves to one of a problem nearly alike: the same
// problem with other locks, caps or closed seasons, or the same property a year
// later. Result.Warm holds it; one made by hand needs Problem and Burns.
//
// Units, seasons, refuges, mixes and classes are found again by their names, and
// years are program years, so that a problem whose FirstYear is a year later takes
// over what lies in its own years and prices its last year as the one before.
// Whatever a Warm holds, the answer stands and its bound holds: it only says where
// to begin.
type Warm struct {
	// Problem is the one that was solved.
	Problem *problem.Problem
	// Burns is a plan for it.
	Burns []problem.Burn
	// Leaf holds prices and blocks of its bound; nil means that none are known.
	Leaf *problem.Leaf
}

// warmRate and warmSteps are how an ascent goes on from prices of a problem nearly
// alike, warmTries how many neighborhoods of the units that are new are searched
// exactly before the first round, and warmWork the options that each may look at.
const (
	warmRate  = 0.02
	warmSteps = 150
	warmTries = 6
	warmWork  = 60_000
)

// warm begins with what an earlier solve found. Without it, or where the plan cannot
// be brought to meet every requirement, the solve is a cold one.
func (s *solver) warm() {
	w := s.set.Warm
	if w == nil || w.Problem == nil {
		return
	}
	to := translate(w.Problem, s.m.Problem)
	start := to.start(s.m, w.Leaf)
	var price []float64
	if start != nil {
		price = start.Price
	}
	moved, ok := s.searcher.Resume(s.ctx, to.plan(s.m, w), to.touched(s.m, w), price)
	if !ok {
		return
	}
	s.takeBest()
	s.report()
	s.repair(moved, price)
	s.resumeBound(start)
}

// repair searches neighborhoods of the units that moved exactly.
func (s *solver) repair(moved []int32, price []float64) {
	if len(moved) == 0 || len(moved) > s.m.N/2 {
		return
	}
	before := s.cost
	for range warmTries {
		if s.ctx.Err() != nil {
			return
		}
		if better, _ := s.polisher.Around(s.ctx, s.plan, s.cost, price, warmWork, moved); better != nil {
			s.searcher.Offer(better)
			s.takeBest()
		}
	}
	if s.cost < before {
		s.report()
	}
}

// resumeBound lets the ascent go on from prices that were good.
func (s *solver) resumeBound(start *bound.Start) {
	if start == nil {
		return
	}
	most := start.MostStates(s.m)
	if s.isSmall() || most > wholeMix {
		start.Groups, start.Share, start.Shift, most = nil, nil, nil, 1
	}
	s.engine.Resume(start)
	if len(start.Years) > 0 && !s.isSmall() {
		s.engine.SetYears(yearKinds)
		s.engine.ResumeYears(start.Years)
		s.engine.ResumeTies(start)
	}
	s.ascent.Reset()
	if most > 1 {
		s.now = level{states: int(most), layers: 3, steps: s.fitting(warmSteps, s.engine.Work(), 0.25)}
		for _, states := range blockSizes {
			if float64(states) >= most {
				s.now.states = states
				break
			}
		}
	}
	s.now.first, s.now.last = warmRate, min(s.now.last, warmRate/5)
	if s.now.last == 0 {
		s.now.last = 1e-3
	}
	s.now.steps = min(s.now.steps, warmSteps)
	if s.engine.HasYears() {
		s.now.years, s.yearRate = true, -1 // no trial of step lengths
	}
	s.ascent.Rate = s.now.first
}

// translation finds what one problem names in another; −1 where it is not there.
type translation struct {
	from, to                  *problem.Problem
	unit, season, refuge, mix []int
	class                     [][]int
	isNew                     []bool // units of the new problem that the old one lacks, or has otherwise
}

func translate(from, to *problem.Problem) *translation {
	tr := &translation{from: from, to: to, isNew: make([]bool, len(to.Units))}
	names := func(n, many int, name func(int) string, other func(int) string) []int {
		index := make(map[string]int, many)
		for k := range many {
			index[other(k)] = k
		}
		out := make([]int, n)
		for k := range out {
			out[k] = -1
			if at, ok := index[name(k)]; ok {
				out[k] = at
			}
		}
		return out
	}
	tr.unit = names(len(from.Units), len(to.Units), func(k int) string { return from.Units[k].ID }, func(k int) string { return to.Units[k].ID })
	tr.season = names(len(from.Seasons), len(to.Seasons), func(k int) string { return from.Seasons[k] }, func(k int) string { return to.Seasons[k] })
	tr.refuge = names(len(from.Refuges), len(to.Refuges), func(k int) string { return from.Refuges[k].Name }, func(k int) string { return to.Refuges[k].Name })
	tr.mix = names(len(from.Mixes), len(to.Mixes), func(k int) string { return from.Mixes[k].Name }, func(k int) string { return to.Mixes[k].Name })
	for m, at := range tr.mix {
		if at < 0 {
			tr.class = append(tr.class, nil)
			continue
		}
		a, b := from.Mixes[m].Classes, to.Mixes[at].Classes
		tr.class = append(tr.class, names(len(a), len(b), func(k int) string { return a[k].Name }, func(k int) string { return b[k].Name }))
	}
	for i := range tr.isNew {
		tr.isNew[i] = true
	}
	for _, i := range tr.unit {
		if i >= 0 {
			tr.isNew[i] = false
		}
	}
	return tr
}

// plan gives the burns that have a place in the new problem.
func (tr *translation) plan(m *model.Model, w *Warm) model.Plan {
	plan := m.NewPlan()
	for _, b := range w.Burns {
		t := b.Year - tr.to.FirstYear
		if i, s := tr.unit[b.Unit], tr.season[b.Season]; i >= 0 && s >= 0 && t >= 0 && t < m.T {
			plan[i*m.T+t] = int8(s)
		}
	}
	return plan
}

// touched gives the units that are new, or whose locks and closed seasons are.
func (tr *translation) touched(m *model.Model, w *Warm) []bool {
	touched := slices.Clone(tr.isNew)
	inYears := func(year int) bool { return year >= tr.to.FirstYear && year < tr.to.FirstYear+m.T }
	locks := map[problem.Lock]bool{}
	for _, l := range tr.to.Locks {
		locks[l] = true
	}
	season := func(s int) int {
		if s >= 0 {
			return tr.season[s]
		}
		return s
	}
	for _, l := range w.Problem.Locks {
		if l.Unit, l.Season = tr.unit[l.Unit], season(l.Season); l.Unit < 0 || !inYears(l.Year) {
			continue
		}
		if !locks[l] {
			touched[l.Unit] = true
		}
		delete(locks, l)
	}
	for l := range locks {
		touched[l.Unit] = true
	}
	closed := map[problem.Closed]bool{}
	for _, c := range tr.to.Closed {
		closed[c] = true
	}
	for _, c := range w.Problem.Closed {
		if c.Unit, c.Season = tr.unit[c.Unit], season(c.Season); c.Unit < 0 || !inYears(c.Year) {
			continue
		}
		if !closed[c] {
			touched[c.Unit] = true
		}
		delete(closed, c)
	}
	for c := range closed {
		touched[c.Unit] = true
	}
	return touched
}

// row gives a row's name in the new problem; ok is false where it has none.
func (tr *translation) row(r problem.Row) (problem.Row, bool) {
	ok := true
	find := func(at *int, list []int) {
		if *at < 0 || *at >= len(list) || list[*at] < 0 {
			ok = false
			return
		}
		*at = list[*at]
	}
	switch r.Kind {
	case problem.RowBurnDays:
		find(&r.Season, tr.season)
	case problem.RowRefuge:
		find(&r.Refuge, tr.refuge)
	case problem.RowApart, problem.RowNeighbors:
		find(&r.Pair[0], tr.unit)
		find(&r.Pair[1], tr.unit)
		if r.Pair[0] > r.Pair[1] {
			r.Pair[0], r.Pair[1] = r.Pair[1], r.Pair[0]
		}
	case problem.RowMixLow, problem.RowMixHigh:
		mix := r.Mix
		if find(&r.Mix, tr.mix); ok {
			find(&r.Class, tr.class[mix])
		}
	}
	return r, ok
}

// start brings the prices and blocks of a leaf into the numbers of the model; nil
// without a leaf.
func (tr *translation) start(m *model.Model, leaf *problem.Leaf) *bound.Start {
	if leaf == nil {
		return nil
	}
	start := &bound.Start{Price: make([]float64, m.Rows.Many)}
	find := m.Finder()
	last := tr.from.FirstYear + tr.from.T() - 1
	for _, p := range leaf.Prices {
		row, ok := tr.row(p.Row)
		if !ok || math.IsNaN(p.PerUnit) {
			continue
		}
		if at, ok := find(row); ok {
			start.Price[at] = max(0, p.PerUnit)
		}
		for year := last + 1; p.Year == last && year < tr.to.FirstYear+m.T; year++ {
			row.Year = year
			if at, ok := find(row); ok {
				start.Price[at] = max(0, p.PerUnit)
			}
		}
	}
	for k := range leaf.Blocks {
		tr.block(m, &leaf.Blocks[k], start)
	}
	for k := range leaf.Years {
		tr.yearBlock(m, &leaf.Years[k], start)
	}
	return start
}

// yearBlock adds a year block, that of the last year to the years after it too.
func (tr *translation) yearBlock(m *model.Model, b *problem.YearBlock, start *bound.Start) {
	to := problem.YearBlock{Kind: b.Kind, Year: b.Year, Season: -1, Cell: b.Cell}
	at := func(i int, list []int) int {
		if i < 0 || i >= len(list) {
			return -1
		}
		return list[i]
	}
	switch b.Kind {
	case problem.YearMix:
		if to.Mix = at(b.Mix, tr.mix); to.Mix < 0 {
			return
		}
		if to.Class = at(b.Class, tr.class[b.Mix]); to.Class < 0 {
			return
		}
	case problem.YearBurnDays:
		if to.Season = at(b.Season, tr.season); to.Season < 0 {
			return
		}
	}
	for n, i := range b.Units {
		if at(i, tr.unit) >= 0 && n < len(b.Prices) {
			to.Units, to.Prices = append(to.Units, tr.unit[i]), append(to.Prices, b.Prices[n])
		}
	}
	for _, part := range b.Split {
		i, j := at(part.Pair[0], tr.unit), at(part.Pair[1], tr.unit)
		if i >= 0 && j >= 0 {
			to.Split = append(to.Split, problem.PairCost{Pair: [2]int{min(i, j), max(i, j)}, Cost: part.Cost})
		}
	}
	start.Years = append(start.Years, to)
	if b.Year == tr.from.FirstYear+tr.from.T()-1 {
		for to.Year++; to.Year < tr.to.FirstYear+m.T; to.Year++ {
			start.Years = append(start.Years, to)
		}
	}
}

// block adds a block of which the new problem has two units or more.
func (tr *translation) block(m *model.Model, b *problem.Block, start *bound.Start) {
	type member struct {
		unit  int32
		share float64
	}
	var members []member
	for k, i := range b.Units {
		if i < 0 || i >= len(tr.unit) || tr.unit[i] < 0 {
			continue
		}
		share := 1.0
		if k < len(b.Share) {
			share = b.Share[k]
		}
		members = append(members, member{int32(tr.unit[i]), share})
	}
	if len(members) == 0 || len(members) > bound.MaxBlockUnits {
		return
	}
	slices.SortFunc(members, func(a, b member) int { return int(a.unit - b.unit) })
	units, share, shift := make([]int32, len(members)), make([]float64, len(members)), make([]float64, len(members)*m.T)
	at := make(map[int]int, len(members))
	for u, one := range members {
		units[u], share[u] = one.unit, one.share
		at[int(one.unit)] = u * m.T
	}
	last := tr.from.FirstYear + tr.from.T() - 1
	for _, s := range b.Shift {
		if s.Unit < 0 || s.Unit >= len(tr.unit) || tr.unit[s.Unit] < 0 {
			continue
		}
		first, t := at[tr.unit[s.Unit]], s.Year-tr.to.FirstYear
		if t >= 0 && t < m.T {
			shift[first+t] = s.Price
		}
		for t++; s.Year == last && t < m.T; t++ {
			if t >= 0 {
				shift[first+t] = s.Price
			}
		}
	}
	start.Groups = append(start.Groups, units)
	start.Ages, start.Parts = append(start.Ages, tr.ages(m, b)), append(start.Parts, tr.parts(m, b))
	start.Share, start.Shift = append(start.Share, share), append(start.Shift, shift)
}

// ages gives the prices of ages of the units of a block that the new problem has, those
// of the last year for the years after it too.
func (tr *translation) ages(m *model.Model, b *problem.Block) (out []problem.AgePrices) {
	last := tr.from.FirstYear + tr.from.T() - 1
	for _, a := range b.Ages {
		if a.Unit < 0 || a.Unit >= len(tr.unit) || tr.unit[a.Unit] < 0 || len(a.Price) == 0 {
			continue
		}
		end := a.Year
		if a.Year == last {
			end = tr.to.FirstYear + m.T - 1
		}
		for year := max(a.Year, tr.to.FirstYear); year <= min(end, tr.to.FirstYear+m.T-1); year++ {
			out = append(out, problem.AgePrices{Unit: tr.unit[a.Unit], Year: year, Price: a.Price})
		}
	}
	return out
}

// parts gives what a block pays of pairs of units that the new problem has, by its years.
func (tr *translation) parts(m *model.Model, b *problem.Block) (out []problem.PairParts) {
	for _, part := range b.Parts {
		one, two := part.Pair[0], part.Pair[1]
		if min(one, two) < 0 || max(one, two) >= len(tr.unit) || tr.unit[one] < 0 || tr.unit[two] < 0 || len(part.Cost) == 0 {
			continue
		}
		to := problem.PairParts{Pair: [2]int{min(tr.unit[one], tr.unit[two]), max(tr.unit[one], tr.unit[two])}}
		for t := range m.T {
			at := tr.to.FirstYear + t - tr.from.FirstYear
			to.Cost = append(to.Cost, part.Cost[max(0, min(at, len(part.Cost)-1))])
		}
		out = append(out, to)
	}
	return out
}

// kept gives what a solve leaves to the next one.
func (s *solver) kept(burns []problem.Burn) *Warm {
	return &Warm{Problem: s.m.Problem, Burns: burns, Leaf: s.leaf}
}
