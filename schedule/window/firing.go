package window

import (
	"fmt"
	"math"
	"strconv"

	"emberquilt/habitat"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
)

// How far apart interior lines lie. Backing fires are lit from interior lines
// every 5 to 15 chains (Wade and Lunsford 1989, USFS R8-TP 11), in grass every
// 150 to 300 m, 7.5 to 15 chains (Higgins, Kruse and Piehl 1989).
const (
	// DefaultSpacing is a planning default within both ranges, which the written
	// burn plan replaces. Common practice, no source.
	DefaultSpacing = quantity.Chains(10)
	leastSpacing   = quantity.Chains(5)
	mostSpacing    = quantity.Chains(15)
)

// MaxLines is the largest number of interior lines that Firing accepts.
const MaxLines = habitat.MaxLines

// Firing is what a user says of how a unit is burned. The zero value says
// nothing: lines are assumed every DefaultSpacing chains.
type Firing struct {
	// Hours is the user's own number of hours in a row; 0 means none.
	Hours int
	// Lines is the user's own number of interior lines; nil means none, and a
	// pointer to 0 that the unit is backed through whole.
	Lines *int
	// Spacing is the most chains between two lines; 0 means DefaultSpacing.
	Spacing quantity.Chains
}

// NeedBasis says where the number of hours is from.
type NeedBasis string

// The bases of a need.
const (
	OwnHours     NeedBasis = "own hours"
	OwnLines     NeedBasis = "own interior lines"
	FromDepth    NeedBasis = "depth between assumed lines"
	Prescribed   NeedBasis = "the prescription"
	withoutDepth           = "no depth is known"
)

// Need is how many hours in a row a burn of a unit takes, and what that
// assumes.
type Need struct {
	// Hours is the whole number of hours in a row, 1 or more.
	Hours int       `json:"hours"`
	Basis NeedBasis `json:"basis"`
	// Lines is the largest number of interior lines over the winds that suit,
	// Depth the largest extent along them, Run the longest run of one inside the unit
	// and Between the longest from one line to the next. All are 0 where the
	// depth is not known.
	Lines   int                    `json:"interior_lines"`
	Depth   quantity.Feet          `json:"depth_ft"`
	Run     quantity.Feet          `json:"run_ft"`
	Between quantity.Feet          `json:"between_lines_ft"`
	Rate    quantity.ChainsPerHour `json:"backing_chains_per_hour"`
	// Words says all of it in a sentence; Warning is set where the number needs
	// attention, such as hours that no day holds.
	Words   string `json:"words"`
	Warning string `json:"warning,omitempty"`
}

// Lay says how the unit is backed through with a wind whose longest run inside it is
// given: interior lines, the longest run between two of them and the hours that takes.
// The lines share out every run evenly, as lines do that follow the downwind edge;
// straight lines across the wind leave up to the extent so shared out.
func (f Firing) Lay(run quantity.Feet, rate quantity.ChainsPerHour) (lines int, between quantity.Feet, hours quantity.Hours) {
	switch most := f.spacing().Feet(); {
	case f.Lines != nil:
		lines = *f.Lines
	case f.Hours > 0:
		lines = pieces(float64(run.Chains()), float64(f.Hours)*float64(rate)) - 1
	default:
		lines = pieces(float64(run), float64(most)) - 1
	}
	between = run / quantity.Feet(lines+1)
	return lines, between, quantity.SpreadHours(between, rate)
}

// pieces gives the least number of equal pieces that are no longer than most.
func pieces(length, most float64) int {
	n := math.Ceil(length/most - 1e-9)
	return int(max(1, min(n, MaxLines+1)))
}

func (f Firing) spacing() quantity.Chains {
	if f.Spacing > 0 {
		return f.Spacing
	}
	return DefaultSpacing
}

// Need gives the hours in a row that a burn takes over the winds that suit: the
// user's own hours; else those in which a backing fire crosses the longest run
// between two interior lines, the user's own or assumed ones, rounded up, and
// never fewer than the prescription asks for. p may be nil. ok is false where no wind suits.
func (c *Card) Need(f Firing, p *prescription.Prescription) (n Need, ok bool) {
	n.Rate = c.Rate
	longest := quantity.Hours(0)
	for i := range c.Directions {
		d := &c.Directions[i]
		if !d.IsAllowed {
			continue
		}
		ok = true
		lines, between, hours := f.Lay(d.Run, c.Rate)
		n.Lines, n.Depth, n.Run = max(n.Lines, lines), max(n.Depth, d.Depth), max(n.Run, d.Run)
		n.Between, longest = max(n.Between, between), max(longest, hours)
	}
	if !ok {
		return Need{}, false
	}
	n.Hours, n.Basis = max(1, int(math.Ceil(min(float64(longest), 1e6)-1e-9))), FromDepth
	switch {
	case f.Hours > 0:
		n.Hours, n.Basis = f.Hours, OwnHours
	case p != nil && p.MinHours > n.Hours:
		n.Hours, n.Basis = p.MinHours, Prescribed
	case f.Lines != nil:
		n.Basis = OwnLines
	}
	n.Words = n.sentence(f, longest)
	n.Warning = n.warning(f, longest, p)
	return n, true
}

// NeedWithoutDepth is the need of a unit whose depth is not known: the user's
// own hours, else those of the prescription, which may be nil.
func NeedWithoutDepth(f Firing, p *prescription.Prescription) Need {
	n := Need{Hours: 1, Basis: Prescribed}
	if p != nil {
		n.Hours = p.MinHours
	}
	from := "the prescription asks for them"
	if f.Hours > 0 {
		n.Hours, n.Basis, from = f.Hours, OwnHours, "your own number"
	}
	n.Words = fmt.Sprintf("%s in a row: %s; %s, so interior lines are not counted", quantity.Count(n.Hours, "hour"), from, withoutDepth)
	return n
}

// sentence says where the hours are from and which lines they assume.
func (n *Need) sentence(f Firing, longest quantity.Hours) string {
	layout := fmt.Sprintf("%s, %s chains from one to the next at most, over up to %s chains of the unit along the winds that suit",
		quantity.Count(n.Lines, "interior line"), tenth(n.Between.Chains()), tenth(n.Run.Chains()))
	if n.Lines == 0 {
		layout = fmt.Sprintf("no interior line over up to %s chains of the unit along the winds that suit", tenth(n.Run.Chains()))
	}
	back := fmt.Sprintf("backing at %s chains an hour takes %s h from line to line", number(float64(n.Rate)), tenth(quantity.Chains(longest)))
	if n.Lines == 0 {
		back = fmt.Sprintf("backing through at %s chains an hour takes %s h", number(float64(n.Rate)), tenth(quantity.Chains(longest)))
	}
	hours := quantity.Count(n.Hours, "hour") + " in a row: "
	assumed := fmt.Sprintf("lines every %s chains at most are a planning default that the written plan replaces", number(float64(f.spacing())))
	switch {
	case f.Lines != nil:
		assumed = "the lines are your own number"
	case f.Spacing > 0:
		assumed = fmt.Sprintf("lines every %s chains at most are your own figure", number(float64(f.spacing())))
	}
	switch n.Basis {
	case OwnHours:
		return hours + "your own number; at " + number(float64(n.Rate)) + " chains an hour it takes " + layout
	case OwnLines:
		return hours + "your own " + layout + "; " + back
	case Prescribed:
		return hours + "the prescription asks for them; assumes " + layout + "; " + back + "; " + assumed
	}
	return hours + "assumes " + layout + "; " + back + "; " + assumed
}

func (n *Need) warning(f Firing, longest quantity.Hours, p *prescription.Prescription) string {
	least := n.Between.Chains()
	switch {
	case p != nil && n.Hours > p.BurnHours.Hours():
		return fmt.Sprintf(
			"%s in a row do not fit into the burn hours %s: no day can be a candidate; more lines across it shorten the time",
			quantity.Count(n.Hours, "hour"),
			p.BurnHours,
		)
	case f.Hours > 0 && float64(longest) > float64(f.Hours)+1e-9:
		return fmt.Sprintf("even %s across it leave %s h of backing", quantity.Count(n.Lines, "line"), tenth(quantity.Chains(longest)))
	case n.Lines > 0 && least < leastSpacing-1e-9:
		return fmt.Sprintf(
			"lines %s ft apart are closer than the usual 330 to 990 ft (Wade and Lunsford 1989, A guide for prescribed fire in southern forests, backing fire)",
			n.Between,
		)
	case n.Between.Chains() > mostSpacing+1e-9 && n.Basis != FromDepth:
		return fmt.Sprintf(
			"%s ft between lines are more than the usual 330 to 990 ft (Wade and Lunsford 1989, A guide for prescribed fire in southern forests, backing fire)",
			n.Between,
		)
	}
	return ""
}

func tenth(c quantity.Chains) string { return strconv.FormatFloat(float64(c), 'f', 1, 64) }

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
