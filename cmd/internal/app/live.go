package app

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/list"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// UnitPiece is a part of a unit that is split: its name and its acres, or its
// shape in place of them.
type UnitPiece struct {
	Name  string
	Acres quantity.Acres
	Shape ground.Shape
}

// SplitOptions say into what a unit is split.
type SplitOptions struct {
	Unit  string
	Parts []UnitPiece
	// File names the file that the shapes came from; empty where the parts have
	// acres only.
	File    string
	Because string
}

// TakeOutlines makes a part of each outline of a map file.
func (o *SplitOptions) TakeOutlines(layer *geofile.Layer) error {
	if err := layer.ClosePaths(); err != nil {
		return err
	}
	o.File = layer.File
	for i := range layer.Features {
		if f := &layer.Features[i]; !f.Shape.IsEmpty() {
			o.Parts = append(o.Parts, UnitPiece{Name: f.Name, Shape: f.Shape})
		}
	}
	return nil
}

// How far apart the acres of parts and their whole may lie: of acres that were
// typed, what papers round away; of outlines, a share, since two outlines of one
// ground differ.
const (
	typedSlack   = quantity.Acres(0.05)
	outlineSlack = 0.01
)

// Split makes several units of one. What hangs on the unit goes to each part:
// intervals, seasons, groups, pairs, locks, tasks that are done; cost, contract
// lines and the acres of its records are shared out by acres.
func (s *Session) Split(ctx context.Context, o SplitOptions) (*view.UnitsChanged, error) {
	return s.changeUnits(ctx, "split "+o.Unit, o.Because, func(b *rebuild) error {
		unit, err := FindUnit(b.now, o.Unit)
		if err != nil {
			return err
		}
		if len(o.Parts) < 2 {
			return partFault("a unit is split into two parts or more", "two parts or more, each as NAME=ACRES or as an outline with its name")
		}
		shapes := b.now.Current().Shapes
		if err := o.checkParts(b, unit, shapes[unit.ID]); err != nil {
			return err
		}
		return b.split(unit, &o)
	})
}

func partFault(found, accepts string) error {
	return &source.Error{Position: source.Position{File: "PART"}, Found: found, Accepts: accepts}
}

// checkParts refuses parts that are not the unit, each with its own name.
func (o *SplitOptions) checkParts(b *rebuild, unit *habitat.Unit, whole ground.Shape) error {
	sum := quantity.Acres(0)
	for i := range o.Parts {
		p := &o.Parts[i]
		if err := b.checkName(p.Name, "PART"); err != nil {
			return err
		}
		if slices.ContainsFunc(o.Parts[:i], func(other UnitPiece) bool { return source.FoldName(other.Name) == source.FoldName(p.Name) }) {
			return partFault(source.Quote(p.Name)+" is named twice", "each part once")
		}
		if !p.Shape.IsEmpty() {
			p.Acres = p.Shape.Acres().Kept()
		}
		if !(p.Acres > 0 && p.Acres <= habitat.MaxAcres) {
			return partFault(fmt.Sprintf("%v acres of %s cannot burn", float64(p.Acres), source.Quote(p.Name)), "acres above 0")
		}
		sum += p.Acres
		for j := range o.Parts[:i] {
			other := &o.Parts[j]
			if common, ok := ground.CommonAcres(p.Shape, other.Shape); !ok || common > min(p.Acres, other.Acres)*outlineSlack {
				return partFault(fmt.Sprintf("%s and %s overlap by %s acres", source.Quote(other.Name), source.Quote(p.Name), common), "parts that lie beside each other")
			}
		}
		if p.Shape.IsEmpty() || whole.IsEmpty() {
			continue
		}
		if within, ok := ground.CommonAcres(p.Shape, whole); !ok || within < p.Acres*(1-outlineSlack) {
			return partFault(fmt.Sprintf("%s acres of %s lie outside %s", max(0, p.Acres-within), source.Quote(p.Name), source.Quote(unit.ID)), "an outline within the unit")
		}
	}
	slack := typedSlack
	if o.File != "" {
		slack = max(slack, unit.Acres*outlineSlack)
	}
	if off := sum - unit.Acres; off > slack*(1+1e-9) || off < -slack*(1+1e-9) {
		return partFault(
			fmt.Sprintf("the parts have %s acres and %s has %s", acresWords(sum), source.Quote(unit.ID), acresWords(unit.Acres)),
			"parts that add up to the unit's acres",
		)
	}
	return nil
}

// acresWords gives acres with as many decimals as they have, up to four.
func acresWords(a quantity.Acres) string {
	return quantity.Group(float64(a.Kept()), -1)
}

// split carries a split out.
func (b *rebuild) split(unit *habitat.Unit, o *SplitOptions) error {
	c := habitat.UnitChange{Kind: habitat.Split, On: b.today, From: []habitat.UnitPart{{Unit: unit.ID, Acres: unit.Acres}}}
	sum := quantity.Acres(0)
	for _, p := range o.Parts {
		sum += p.Acres
		c.To = append(c.To, habitat.UnitPart{Unit: p.Name, Acres: p.Acres})
	}
	cents := shareOut(float64(unit.Cost), c.To, 1)
	for i, p := range o.Parts {
		part := *unit
		part.ID, part.Acres, part.StatedAcres, part.Cost = p.Name, p.Acres, 0, quantity.Cents(cents[i])
		if unit.BurnDays > 1 { // a day or less is a day or less of each part too
			part.BurnDays = max(1, math.Ceil(2*unit.BurnDays*float64(p.Acres/sum))/2)
		}
		piece := newUnit{unit: part, firing: b.now.Firings.Of[unit.ID].Unsized()}
		if !p.Shape.IsEmpty() {
			piece.shape = &store.UnitShape{Unit: p.Name, Shape: p.Shape, File: o.File}
		}
		b.units = append(b.units, piece)
	}
	if _, has := b.now.Current().Shapes[unit.ID]; has && o.File == "" {
		b.say(view.OutlineNotCut(unit.ID))
	}
	return b.carry(c)
}

// shareOut shares an amount out by acres, in whole steps, so that the shares add
// up to it.
func shareOut(amount float64, by []habitat.UnitPart, step float64) []float64 {
	sum := quantity.Acres(0)
	for _, p := range by {
		sum += p.Acres
	}
	all := make([]float64, len(by))
	left := amount
	for i, p := range by {
		all[i] = math.Round(amount*float64(p.Acres/sum)/step) * step
		if i == len(by)-1 {
			all[i] = left
		}
		left -= all[i]
	}
	return all
}

// MergeOptions say which units become one.
type MergeOptions struct {
	Units []string
	// Into names the one that they become.
	Into    string
	Because string
}

// Merge makes one unit of several. It takes over what they agree on, and asks for
// agreement where one plan cannot hold both: intervals and seasons.
func (s *Session) Merge(ctx context.Context, o MergeOptions) (*view.UnitsChanged, error) {
	return s.changeUnits(ctx, "merge "+strings.Join(o.Units, ", ")+" into "+o.Into, o.Because, func(b *rebuild) error {
		c := habitat.UnitChange{Kind: habitat.Merged, On: b.today}
		var parts []*habitat.Unit
		for _, name := range o.Units {
			u, err := FindUnit(b.now, name)
			if err != nil {
				return err
			}
			if slices.Contains(parts, u) {
				return unitFault(source.Quote(u.ID)+" is named twice", "each unit once")
			}
			parts = append(parts, u)
			c.From = append(c.From, habitat.UnitPart{Unit: u.ID, Acres: u.Acres})
		}
		if len(parts) < 2 {
			return unitFault("one unit alone cannot be merged", "two units or more")
		}
		if err := b.checkName(o.Into, "into"); err != nil {
			return err
		}
		one, err := b.merged(parts, o.Into)
		if err != nil {
			return err
		}
		c.To = []habitat.UnitPart{{Unit: o.Into, Acres: one.unit.Acres}}
		b.units = append(b.units, *one)
		return b.carry(c)
	})
}

// ownedText says from when until when a unit is owned.
func ownedText(o habitat.Ownership) string {
	var parts []string
	if !o.From.IsZero() {
		parts = append(parts, "from "+o.From.String())
	}
	if !o.Until.IsZero() {
		parts = append(parts, "until "+o.Until.String())
	}
	if parts == nil {
		return "always"
	}
	return strings.Join(parts, " ")
}

// merged makes the unit that others become.
func (b *rebuild) merged(parts []*habitat.Unit, name string) (*newUnit, error) {
	first := parts[0]
	one := newUnit{unit: *first, firing: b.now.Firings.Of[first.ID]}
	u := &one.unit
	u.ID, u.Acres, u.StatedAcres, u.Cost, u.BurnDays, u.Notes = name, 0, 0, 0, 0, ""
	shapes := b.now.Current().Shapes
	var outlines []ground.Shape
	missing := false
	for _, p := range parts {
		for _, field := range []struct {
			what   string
			differ bool
			is     string
		}{
			{"intervals", p.Interval != first.Interval, fmt.Sprintf("%s and %s years", first.Interval, p.Interval)},
			{"seasons", !slices.Equal(p.Seasons, first.Seasons), list.SeasonsText(first.Seasons) + " and " + list.SeasonsText(p.Seasons)},
			{"mixes", p.Mix != first.Mix, source.Quote(first.Mix) + " and " + source.Quote(p.Mix)},
			{"refuge groups", p.Refuge != first.Refuge, source.Quote(first.Refuge) + " and " + source.Quote(p.Refuge)},
			{"prescriptions", p.Prescription != first.Prescription, source.Quote(first.Prescription) + " and " + source.Quote(p.Prescription)},
			{"times of ownership", p.Owned != first.Owned, ownedText(first.Owned) + " and " + ownedText(p.Owned)},
		} {
			if field.differ {
				return nil, unitFault(fmt.Sprintf("%s and %s have different %s: %s", source.Quote(first.ID), source.Quote(p.ID), field.what, field.is),
					"units that are burned alike; make them so first")
			}
		}
		u.Acres += p.Acres
		u.Cost += p.Cost
		u.BurnDays += p.BurnDays
		if p.Notes != "" {
			u.Notes = strings.TrimSpace(u.Notes + "\n" + p.ID + ": " + p.Notes)
		}
		if p.Cover != first.Cover {
			u.Cover = ""
		}
		if b.now.Firings.Of[p.ID] != one.firing {
			one.firing = habitat.Firing{}
		}
		ofPart, ok := shapes[p.ID]
		missing = missing || !ok
		if ok {
			outlines = append(outlines, ofPart)
		}
	}
	u.Acres = u.Acres.Kept()
	u.Seasons = slices.Clone(first.Seasons)
	one.firing = one.firing.Unsized()
	if u.Cover != first.Cover {
		b.say(view.CoversDiffer(name))
	}
	if !missing {
		one.shape = &store.UnitShape{Unit: name, Shape: ground.Dissolve(outlines...), File: "merged"}
	} else if len(outlines) > 0 {
		b.say(view.OutlinesMissing(name))
	}
	b.mergedAge(parts, u)
	return &one, nil
}

// mergedAge gives a merged unit an estimated age where not every part has a burn
// on record: the age that the share of its acres which counts has, or is younger.
func (b *rebuild) mergedAge(parts []*habitat.Unit, u *habitat.Unit) {
	p := &b.now.Property
	year := p.YearStart.Of(b.today) - 1
	type aged struct {
		years int
		acres quantity.Acres
	}
	var all []aged
	recorded := true
	for _, part := range parts {
		age := p.AgeAtEnd(part, b.now.Records, year, b.today)
		recorded = recorded && age.Assumed == habitat.OnRecord
		all = append(all, aged{age.Years, part.Acres})
	}
	u.EstimatedAge, u.EstimatedIn = nil, 0
	if recorded {
		return
	}
	slices.SortFunc(all, func(a, b aged) int { return a.years - b.years })
	sum := quantity.Acres(0)
	for _, a := range all {
		if sum += a.acres; sum >= p.ResetShare.Of(u.Acres)*(1-1e-6) {
			u.EstimatedAge, u.EstimatedIn = &a.years, year
			return
		}
	}
}

func unitFault(found, accepts string) error {
	return &source.Error{Position: source.Position{File: "UNIT"}, Found: found, Accepts: accepts}
}

// Rename gives a unit another name. Everything that names it follows; its records
// and the plans that were made keep the name that it bore, and are read as its own.
func (s *Session) Rename(ctx context.Context, unit, name, because string) (*view.UnitsChanged, error) {
	return s.changeUnits(ctx, "rename "+unit+" "+name, because, func(b *rebuild) error {
		u, err := FindUnit(b.now, unit)
		if err != nil {
			return err
		}
		if u.ID == name {
			return &source.Error{Position: source.Position{File: "NAME"}, Found: source.Quote(name) + " is its name already", Accepts: "another name"}
		}
		b.renamed = u.ID
		if err := b.checkName(name, "NAME"); err != nil {
			return err
		}
		one := newUnit{unit: *u, firing: b.now.Firings.Of[u.ID]}
		one.unit.ID = name
		for _, shape := range b.now.Shapes {
			if shape.Unit == u.ID {
				shape.Unit = name
				one.shape = &shape
			}
		}
		b.units = append(b.units, one)
		return b.carry(habitat.UnitChange{Kind: habitat.Renamed, On: b.today,
			From: []habitat.UnitPart{{Unit: u.ID, Acres: u.Acres}}, To: []habitat.UnitPart{{Unit: name, Acres: u.Acres}}})
	})
}

// OwnOptions say from when until when a unit is the property's to burn; nil leaves
// as it is what stands, the zero day takes it away.
type OwnOptions struct {
	Unit        string
	From, Until *date.Day
	Because     string
	// Retire words the change as the end of the unit.
	Retire bool
}

// Own says from when until when a unit is the property's to burn. Outside that time
// it is closed to every plan, neither due nor overdue; its records stay.
func (s *Session) Own(ctx context.Context, o OwnOptions) (*view.UnitsChanged, error) {
	what := "own "
	if o.Retire {
		what = "retire "
	}
	return s.changeUnits(ctx, what+o.Unit, o.Because, func(b *rebuild) error {
		u, err := FindUnit(b.now, o.Unit)
		if err != nil {
			return err
		}
		changed := *u
		if o.From != nil {
			changed.Owned.From = *o.From
		}
		if o.Until != nil {
			changed.Owned.Until = *o.Until
		}
		if err := optionFaults(changed.Validate(&b.now.Property)); err != nil {
			return err
		}
		if o.Until != nil {
			for i := range b.now.Written {
				r := &b.now.Written[i]
				if names := b.now.Lineage.Now(r.Unit, 0); slices.Contains(names, u.ID) && changed.Owned.EndedBefore(r.Through) {
					return unitFault(
						fmt.Sprintf("burn %d of %s ended on %s, after the last day, %s", r.ID, source.Quote(r.Unit), r.Through, changed.Owned.Until),
						"a day after the burns on record",
					)
				}
			}
		}
		b.done = view.OwnedWords(u.ID, changed.Owned)
		if o.Retire {
			b.done = view.RetiredWords(u.ID, changed.Owned)
		}
		return b.tx.PutUnit(changed)
	})
}

// Delete takes away a unit that was never used: without a record, a lock, a contract
// line and a plan that knows it.
func (s *Session) Delete(ctx context.Context, unit, because string) (*view.UnitsChanged, error) {
	known := map[string]int{}
	for _, head := range s.Plans {
		kept, err := s.Plan(ctx, head.Number)
		if err != nil {
			return nil, err
		}
		for i := range kept.Problem.Units {
			known[kept.Problem.Units[i].ID] = kept.Number
		}
	}
	return s.changeUnits(ctx, "delete "+unit, because, func(b *rebuild) error {
		u, err := FindUnit(b.now, unit)
		if err != nil {
			return err
		}
		refuse := func(format string, args ...any) error {
			fault := unitFault(source.Quote(u.ID)+fmt.Sprintf(format, args...), "a unit that was never used").(*source.Error)
			return &AdvisedError{Fault: fault, Advice: RetireUnit}
		}
		for i := range b.now.Records {
			if r := &b.now.Records[i]; r.Unit == u.ID {
				return refuse(" has burn %d on record", r.ID)
			}
		}
		for i := range b.now.Lineage {
			if c := &b.now.Lineage[i]; c.Makes(u.ID) {
				return refuse(" came from another unit: %s", c.Words())
			}
		}
		for _, c := range b.now.Contracts {
			if slices.ContainsFunc(c.Items, func(i habitat.ContractItem) bool { return i.Unit == u.ID }) ||
				slices.ContainsFunc(c.Completions, func(i habitat.Completion) bool { return i.Unit == u.ID }) {
				return refuse(" is in contract %s", source.Quote(c.Name))
			}
		}
		for _, l := range b.now.Locks {
			if l.Unit == u.ID {
				return refuse(" is locked in %d", l.Year)
			}
		}
		if number := known[u.ID]; number > 0 {
			return refuse(" is in plan %d", number)
		}
		b.done = view.DeletedWords(u.ID)
		if err := b.mentions(func(string) []string { return nil }, u.ID); err != nil {
			return err
		}
		return b.tx.RemoveUnit(u.ID)
	})
}
