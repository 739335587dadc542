package habitat

import (
	"cmp"
	"strings"
)

// LandNumbers say where ground stands in the records of farms and of land, as whoever
// owns it writes them; empty where nobody said. They are stored once: those of the
// property hold for every unit that says nothing else.
type LandNumbers struct {
	// Farm, Tract and Field are numbers of farm records.
	Farm, Tract, Field string
	// Section is the legal description, such as "NE 1/4 of 14-11S-8E".
	Section string
}

// LandOf gives the numbers of a unit: its own, else the property's.
func (p *Property) LandOf(u *Unit) LandNumbers {
	return LandNumbers{
		Farm: cmp.Or(u.Land.Farm, p.Land.Farm), Tract: cmp.Or(u.Land.Tract, p.Land.Tract),
		Field: cmp.Or(u.Land.Field, p.Land.Field), Section: cmp.Or(u.Land.Section, p.Land.Section),
	}
}

// Besides gives the numbers that differ from others, such as those of the property.
func (n LandNumbers) Besides(others LandNumbers) LandNumbers {
	for _, one := range []struct{ mine, other *string }{{&n.Farm, &others.Farm}, {&n.Tract, &others.Tract}, {&n.Field, &others.Field}, {&n.Section, &others.Section}} {
		if *one.mine == *one.other {
			*one.mine = ""
		}
	}
	return n
}

// Words gives "farm 2210, tract 4471, field 3, NE 1/4 of 14-11S-8E", or nothing.
func (n LandNumbers) Words() string {
	words := n.FarmWords()
	if n.Section == "" {
		return words
	}
	return strings.TrimPrefix(words+", "+n.Section, ", ")
}

// FarmWords gives "farm 2210, tract 4471, field 3", or nothing.
func (n LandNumbers) FarmWords() string {
	var parts []string
	for _, part := range []struct{ name, number string }{{"farm", n.Farm}, {"tract", n.Tract}, {"field", n.Field}} {
		if part.number != "" {
			parts = append(parts, part.name+" "+part.number)
		}
	}
	return strings.Join(parts, ", ")
}
