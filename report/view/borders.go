package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
)

// BordersInput is what Borders are made of.
type BordersInput struct {
	Property string
	// Units are those with a shape; Missing those without.
	Units, Missing []string
	// Pairs are those of Units that meet, by index; Kept those of the property.
	Pairs []ground.Pair
	Kept  []habitat.Pair
	// Tolerance is how far two boundaries may lie apart and be one; rows that share
	// no more than LongerThan are left out.
	Tolerance, LongerThan quantity.Feet
}

// Borders says which units border which.
type Borders struct {
	Property string
	// Units counts those with a shape.
	Units int
	Rows  []BorderRow
	// Sides counts the pairs with a common boundary, Corners those that meet at a
	// corner alone, Overlaps those that both claim Claimed acres.
	Sides, Corners, Overlaps int
	Claimed                  quantity.Acres
	Missing                  []string
	// Kept counts the pairs of the property.
	Kept      int
	Tolerance quantity.Feet
}

// BorderRow is how two units lie to each other.
type BorderRow struct {
	A, B string
	// Meet says where they meet.
	Meet        string
	Shared, Gap quantity.Feet
	// Overlap is the ground that both claim; nil where it is too little to tell.
	Overlap *quantity.Acres
	// Kept is the pair of the property; nil where there is none.
	Kept *habitat.Pair
}

// NewBorders lists the pairs and counts them.
func NewBorders(in BordersInput) *Borders {
	v := &Borders{Property: in.Property, Units: len(in.Units), Missing: in.Missing, Kept: len(in.Kept), Tolerance: in.Tolerance}
	kept := map[[2]string]*habitat.Pair{}
	for i := range in.Kept {
		kept[[2]string{in.Kept[i].A, in.Kept[i].B}] = &in.Kept[i]
	}
	for k := range in.Pairs {
		p := &in.Pairs[k]
		if p.Corner {
			v.Corners++
		} else {
			v.Sides++
		}
		pair := habitat.NewPair(in.Units[p.A], in.Units[p.B], "")
		row := BorderRow{A: pair.A, B: pair.B, Meet: meetWords(p), Shared: p.Shared, Gap: p.Gap, Kept: kept[[2]string{pair.A, pair.B}]}
		if p.Overlap > ground.SmallOverlap {
			v.Overlaps++
			v.Claimed += p.Overlap
			row.Overlap = &p.Overlap
		}
		if in.LongerThan == 0 || p.Shared > in.LongerThan {
			v.Rows = append(v.Rows, row)
		}
	}
	return v
}

// meetWords says how two shapes lie to each other.
func meetWords(p *ground.Pair) string {
	words := "boundary"
	switch {
	case p.Corner && p.Shared == 0 && p.Gap == 0 && p.Overlap > ground.SmallOverlap:
		words = "one inside the other"
	case p.Corner:
		words = "corner"
	}
	if p.Unmeasured {
		words += ", overlap not measured"
	}
	return words
}

// Words says what the rows come to, a sentence each.
func (v *Borders) Words() []string {
	all := []string{fmt.Sprintf("%s with a shape; %d pairs have a common boundary, %d meet at a corner alone (boundaries within %s ft are one).",
		quantity.Count(v.Units, "unit"), v.Sides, v.Corners, Figure(float64(v.Tolerance)))}
	if v.Overlaps > 0 {
		all = append(all, fmt.Sprintf("Ground that both of a pair claim: %.2f acres in %s, see overlap_acres.", float64(v.Claimed), quantity.Count(v.Overlaps, "pair")))
	}
	if len(v.Missing) > 0 {
		all = append(all, "Without a shape, and not measured: "+strings.Join(v.Missing, ", "))
	}
	if v.Kept == 0 && v.Sides > 0 {
		all = append(all, "The property has no pairs yet.")
	}
	return all
}

// PairChanges is what becomes of the pairs of a property.
type PairChanges struct {
	Changes []PairChange `json:"changes"`
	// Same counts the pairs that stay as they are.
	Same int `json:"as_they_are"`
	// Changed says that it was carried out; false in a dry run.
	Changed bool `json:"changed"`
}

// PairChange is what becomes of one pair.
type PairChange struct {
	// Action is added, changed or removed.
	Action string `json:"action"`
	UnitA  string `json:"unit_a"`
	UnitB  string `json:"unit_b"`
	From   string `json:"from,omitempty"`
	To     string `json:"to,omitempty"`
}

// NewPairChange says what becomes of a pair: was is nil where there was none, is
// where there is none any more.
func NewPairChange(was, is *habitat.Pair) PairChange {
	switch {
	case was == nil:
		return PairChange{"added", is.A, is.B, "", pairWords(is)}
	case is == nil:
		return PairChange{"removed", was.A, was.B, pairWords(was), ""}
	}
	return PairChange{"changed", is.A, is.B, pairWords(was), pairWords(is)}
}

func pairWords(p *habitat.Pair) string {
	if p.SharedFeet > 0 {
		return fmt.Sprintf("%s, %s ft", p.Kind, p.SharedFeet)
	}
	return string(p.Kind)
}

// Words says the changes, a line each.
func (v *PairChanges) Words() []string {
	var all []string
	for _, c := range v.Changes {
		what := c.From + c.To
		if c.From != "" && c.To != "" {
			what = c.From + " → " + c.To
		}
		all = append(all, fmt.Sprintf("%s %s and %s: %s", c.Action, c.UnitA, c.UnitB, what))
	}
	if v.Same > 0 {
		all = append(all, quantity.Count(v.Same, "pair")+" as they are")
	}
	switch {
	case len(v.Changes) == 0:
		all = append(all, "nothing changes")
	case !v.Changed:
		all = append(all, "nothing was changed: dry run")
	}
	return all
}
