package problem

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"math"
	"strconv"

	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// Limits that keep a problem within what the program can hold. They are far
// above any land; a number beyond them is a slip.
const (
	MaxFileBytes = 256 << 20
	MaxYear      = 9999
	// MaxYears limits plan years and lookahead, each.
	MaxYears = 1000
	// MaxInterval limits intervals, ages and the ends of age classes, in years.
	MaxInterval = 9999
	// MaxAcres limits the acres of a unit, of a cap and of a band.
	MaxAcres = 1e9
	// MaxAmount limits costs, burn days, penalties and weights.
	MaxAmount = 1e12
	// LeastAmount is the least of all of them and of shares that is not 0. Products and
	// quotients of less leave what a float64 holds, and prove nothing.
	LeastAmount = 1e-9
)

// Read reads a rotation-problem/1 file. name stands for it in messages.
//
// Bad input gives a *source.Error or a *source.List of the first twenty errors
// in file order, each with line and path; nothing else of the file is used
// then.
func Read(r io.Reader, name string) (*Problem, error) { return read(r, name, false) }

// ReadKept reads the problem of a plan that a property holds, as Read does, but for
// amounts between 0 and LeastAmount, which it takes: programs before kept what rounding
// left of a cap.
func ReadKept(r io.Reader, name string) (*Problem, error) { return read(r, name, true) }

func read(r io.Reader, name string, isKept bool) (*Problem, error) {
	data, err := readAll(r, name, MaxFileBytes)
	if err != nil {
		return nil, err
	}
	root, err := jsonscan.Parse(data)
	if err != nil {
		return nil, syntax(name, data, err)
	}
	rd := reader{complaints: complaints{name: name, data: data}, isKept: isKept}
	rd.problem(&place{value: &root, offset: root.Offset})
	if err := rd.err(); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	rd.p.SHA256 = hex.EncodeToString(sum[:])
	rd.p.Warnings = rd.p.oddities()
	return &rd.p, nil
}

// readAll reads everything, up to a limit.
func readAll(r io.Reader, name string, most int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	if int64(len(data)) > most {
		return nil, &source.Error{Position: source.Position{File: name},
			Found: "the file is larger than " + strconv.FormatInt(most>>20, 10) + " MB", Accepts: "a smaller file"}
	}
	return data, nil
}

// reader turns the tree of a problem file into a Problem. The indices of units
// are their positions in the file even where a unit is bad, so that later
// complaints name the right one.
type reader struct {
	complaints
	// isKept says that the file is of a plan that a property holds.
	isKept                         bool
	p                              Problem
	seasons, units, refuges, mixes *nameSet
	// horizon is set when FirstYear, Years and Lookahead are all good.
	horizon bool
}

func (rd *reader) problem(root *place) {
	o, ok := rd.object(root, "format", "first_year", "years", "lookahead", "seasons", "units", "caps", "caps_by_year",
		"apart", "neighbours", "refuges", "mixes", "evenness", "closed", "locks", "previous", "keep_years", "weights", "overdue_growth", "overdue_growth_years")
	if !ok || !rd.format(o, Format) {
		return
	}
	rd.years(o)
	rd.seasonNames(o)
	// Groups before units, units before pairs and locks: each refers to those
	// before it, in whatever order the file has them.
	rd.refugeGroups(o)
	rd.mixGroups(o)
	rd.unitList(o)
	rd.caps(o)
	rd.pairs(o)
	rd.evenness(o)
	rd.closed(o)
	rd.locks(o)
	rd.previous(o)
	rd.weights(o)
	rd.growth(o)
}

// format checks the format key. Where another format stands there, the rest of
// the file is not looked at: its complaints would be noise.
func (c *complaints) format(o object, want string) bool {
	accepts := source.Quote(want)
	at := o.need("format", accepts)
	if at == nil {
		return true
	}
	text, ok := c.text(at, accepts)
	if ok && text == want {
		return true
	}
	c.all = nil
	if ok {
		c.bad(at, accepts, "%s is another format", source.Quote(text))
	} else {
		c.text(at, accepts)
	}
	return false
}

func (rd *reader) years(o object) {
	first, years, look := false, false, true
	const accepts = "a whole number of years, 1 to 1000"
	if at := o.need("first_year", "a program year, 1 to 9999"); at != nil {
		rd.p.FirstYear, first = rd.integer(at, 1, MaxYear, "a program year, 1 to 9999")
	}
	if at := o.need("years", accepts); at != nil {
		rd.p.Years, years = rd.integer(at, 1, MaxYears, accepts)
	}
	if at := o.get("lookahead"); at != nil {
		rd.p.Lookahead, look = rd.integer(at, 0, MaxYears, "a whole number of years, 0 to 1000")
	}
	rd.horizon = first && years && look
}

// year takes a place as one of the T program years.
func (rd *reader) year(at *place) (int, bool) {
	const accepts = "a program year of the plan"
	if !rd.horizon {
		rd.integer(at, -MaxYear, 2*MaxYear, accepts)
		return 0, false
	}
	year, ok := rd.integer(at, -MaxYear, 2*MaxYear, rd.p.yearsText())
	if ok && !rd.p.inPlan(year) {
		rd.bad(at, rd.p.yearsText(), "%d is outside the plan", year)
		return 0, false
	}
	return year, ok
}

// yearsText says which years a plan has.
func (p *Problem) yearsText() string {
	span := fmt.Sprintf("%d to %d (%d years", p.FirstYear, p.FirstYear+p.T()-1, p.Years)
	if p.Lookahead > 0 {
		span += fmt.Sprintf(" and %d of lookahead", p.Lookahead)
	}
	return span + ")"
}

func (p *Problem) inPlan(year int) bool { return year >= p.FirstYear && year < p.FirstYear+p.T() }

func (rd *reader) seasonNames(o object) {
	rd.seasons = newNameSet()
	const accepts = "a list of at least one season name"
	at := o.need("seasons", accepts)
	if at == nil {
		rd.seasons.broken = true
		return
	}
	items := rd.items(at, accepts)
	if len(items) == 0 && at.value.Kind == jsonscan.Array {
		rd.bad(at, accepts, "there is no season")
	}
	rd.seasons.broken = len(items) == 0
	for _, item := range items {
		if name, ok := rd.define(item, rd.seasons, len(rd.p.Seasons), "each season once"); ok {
			rd.p.Seasons = append(rd.p.Seasons, name)
		}
	}
}

// season finds the season that is the key of a field.
func (rd *reader) season(entry *place) (int, bool) {
	s, known := rd.seasons.index[entry.key]
	if !known && !rd.seasons.broken {
		rd.bad(entry, rd.seasons.list(), "season %s is unknown", source.Quote(entry.key))
	}
	return s, known
}

// share takes a place as a share of acres.
func (rd *reader) share(at *place) (float64, bool) {
	v, ok := rd.number(at, 0, 1, false, "a share from 0 to 1")
	return v, ok && rd.isSome(at, v)
}

func (rd *reader) amount(at *place, what string, most float64) (float64, bool) {
	v, ok := rd.number(at, 0, most, false, what+", 0 or more")
	return v, ok && rd.isSome(at, v)
}

// isSome refuses what is next to nothing.
func (rd *reader) isSome(at *place, v float64) bool {
	if v <= 0 || v >= LeastAmount || rd.isKept {
		return true
	}
	rd.bad(at, "0, or 1e-9 and more", "%s is next to nothing", plain(v))
	return false
}

func (rd *reader) evenness(o object) {
	rd.p.EvenLo, rd.p.EvenHi = math.Inf(-1), NoLimit
	at := o.get("evenness")
	if at == nil {
		return
	}
	e, ok := rd.object(at, "min_acres", "max_acres")
	if !ok {
		return
	}
	lo, hi := e.get("min_acres"), e.get("max_acres")
	loGood, hiGood := false, false
	if lo != nil {
		rd.p.EvenLo, loGood = rd.amount(lo, "acres", MaxAcres)
	}
	if hi != nil {
		rd.p.EvenHi, hiGood = rd.amount(hi, "acres", MaxAcres)
	}
	if loGood && hiGood && rd.p.EvenHi < rd.p.EvenLo {
		rd.bad(hi, plain(rd.p.EvenLo)+" or more", "%s is below min_acres %s", plain(rd.p.EvenHi), plain(rd.p.EvenLo))
	}
}

// growth reads by how much overdue grows. Without growth its years say nothing.
func (rd *reader) growth(o object) {
	years, yearsGood := DefaultOverdueGrowthYears, true
	if at := o.get("overdue_growth_years"); at != nil {
		years, yearsGood = rd.integer(at, 0, MaxInterval, "a whole number of years, 0 or more")
	}
	at := o.get("overdue_growth")
	if at == nil {
		return
	}
	growth, ok := rd.amount(at, "a share of the overdue weight", MaxAmount)
	if ok && yearsGood && growth > 0 {
		rd.p.OverdueGrowth, rd.p.OverdueGrowthYears = growth, years
	}
}

func (rd *reader) weights(o object) {
	rd.p.Weights = DefaultWeights()
	at := o.get("weights")
	if at == nil {
		return
	}
	w := &rd.p.Weights
	targets := map[string]*float64{"overdue": &w.Overdue, "mix": &w.Mix, "season": &w.Season,
		"evenness": &w.Evenness, "neighbours": &w.Neighbors, "keep": &w.Keep}
	if o, ok := rd.object(at, "overdue", "mix", "season", "evenness", "neighbours", "keep"); ok {
		for _, field := range o.fields {
			*targets[field.key], _ = rd.amount(field, "a weight", MaxAmount)
		}
	}
}
