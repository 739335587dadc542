package window

import "math/bits"

// Labels is a set of hours of one day and of the night after it: bit h−1 stands for
// label h, and the labels of the next day go on from 25.
type Labels uint64

// Has reports whether the hour with a label is in the set.
func (l Labels) Has(label int) bool { return l&(1<<(label-1)) != 0 }

// Count counts the hours.
func (l Labels) Count() int { return bits.OnesCount64(uint64(l)) }

// HasRun reports whether n hours in a row are in the set.
func (l Labels) HasRun(n int) bool {
	for ; n > 1 && l != 0; n-- {
		l &= l >> 1
	}
	return l != 0
}

// LongestRun gives the label of the first hour of the longest run, the first of
// equally long ones, and its length; 0 and 0 for the empty set.
func (l Labels) LongestRun() (start, hours int) {
	// After n steps bit i is set where hours i … i+n all are.
	for ; l != 0; l &= l >> 1 {
		start = bits.TrailingZeros64(uint64(l)) + 1
		hours++
	}
	return start, hours
}
