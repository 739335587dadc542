package rehearsal

import (
	"math/bits"

	"emberquilt/habitat/date"
)

// DaySet is a set of days of the year, by month and day. 29 February has a place
// in every set.
type DaySet [6]uint64

// placeOf gives the place of a date in a leap year, from 0 for 1 January.
func placeOf(d date.Day) int {
	before := [13]int{1: 0, 31, 60, 91, 121, 152, 182, 213, 244, 274, 305, 335}
	return before[d.Month] + d.Dom - 1
}

// Add puts a day into the set.
func (s *DaySet) Add(d date.Day) { s.add(placeOf(d)) }

func (s *DaySet) add(place int) { s[place/64] |= 1 << (place % 64) }

func (s *DaySet) has(place int) bool { return s[place/64]&(1<<(place%64)) != 0 }

// And gives the days that are in both sets.
func (s DaySet) And(t DaySet) DaySet {
	for k := range s {
		s[k] &= t[k]
	}
	return s
}

// Or gives the days that are in either set.
func (s DaySet) Or(t DaySet) DaySet {
	for k := range s {
		s[k] |= t[k]
	}
	return s
}

// without gives the days of s that are not in t.
func (s DaySet) without(t DaySet) DaySet {
	for k := range s {
		s[k] &^= t[k]
	}
	return s
}

// Count counts the days.
func (s DaySet) Count() int {
	n := 0
	for _, word := range s {
		n += bits.OnesCount64(word)
	}
	return n
}

// each calls with the places of the set in the order of a season that begins at
// first and may cross the new year.
func (s *DaySet) each(first int, do func(place int)) {
	for k, word := range s {
		for ; word != 0; word &= word - 1 {
			if place := 64*k + bits.TrailingZeros64(word); place >= first {
				do(place)
			}
		}
	}
	for k, word := range s {
		for ; word != 0; word &= word - 1 {
			if place := 64*k + bits.TrailingZeros64(word); place < first {
				do(place)
			}
		}
	}
}
