package window

import (
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// PoolDays is how many days before and after a day of the year are pooled with
// it.
const PoolDays = 7

// slots is the number of days of the year, 29 February among them; in years
// without it that slot stays empty.
const slots = 366

// slotOf gives the place of a date in a leap year, from 0 for 1 January, so that
// the same month and day has the same slot in every year.
func slotOf(d date.Day) int {
	before := [13]int{1: 0, 31, 60, 91, 121, 152, 182, 213, 244, 274, 305, 335}
	return before[d.Month] + d.Dom - 1
}

// Chances say for each day of the year how likely it is a candidate day.
type Chances struct {
	// pooled holds for each slot the known and the candidate days within
	// PoolDays of it, over all years.
	pooled [slots]Tally
}

// Chances pools the days over all years of the record and over PoolDays days to
// either side, across the new year too. Days are matched by month and day; 29
// February stands for 1 March in years without it.
func (d *Days) Chances() *Chances {
	// Years with and without 29 February are two rings of days, so that a week
	// from a date is seven days in both.
	var leap, common [slots]Tally
	const ring = slots - 1
	for i := range d.Days {
		day := &d.Days[i]
		if !day.Known {
			continue
		}
		t := &common[commonSlot(slotOf(day.Date()))]
		if isLeap(day.Date().Year) {
			t = &leap[slotOf(day.Date())]
		}
		t.KnownDays++
		t.Hours += day.Counting.Count()
		if day.Candidate {
			t.CandidateDays++
		}
	}
	c := &Chances{}
	for i := range c.pooled {
		for off := -PoolDays; off <= PoolDays; off++ {
			c.pooled[i].add(leap[(i+off+slots)%slots])
			c.pooled[i].add(common[(commonSlot(i)+off+ring)%ring])
		}
	}
	return c
}

// commonSlot gives the place in a year of 365 days; 29 February shares that of
// 1 March.
func commonSlot(slot int) int {
	const leapDay = 59
	if slot > leapDay {
		return slot - 1
	}
	return slot
}

func isLeap(year int) bool { return year%4 == 0 && (year%100 != 0 || year%400 == 0) }

// On gives the chance of a calendar day: candidate days over known days, pooled.
// ok is false where the record knows no day near it.
func (c *Chances) On(d date.Day) (chance quantity.Share, ok bool) {
	return c.pooled[slotOf(d)].Share()
}

// Over gives the mean chance of the days of a span; days of which nothing is
// known are left out, and ok is false where they all are.
func (c *Chances) Over(s date.Span) (chance quantity.Share, ok bool) {
	sum, days := 0.0, 0
	for d := s.First; !d.After(s.Last); d = d.AddDays(1) {
		if p, known := c.On(d); known {
			sum += float64(p)
			days++
		}
	}
	if days == 0 {
		return 0, false
	}
	return quantity.Share(sum / float64(days)), true
}

// Heat is the share of known days on which each hour of the day counts, for each
// week of the year.
type Heat struct {
	// Share holds week by week the share for label h at index h−1, in clock time
	// where the evaluation knew the zone; −1 where the
	// record knows no day of the week. Week 1 is 1 to 7 January, week 53 holds
	// the last one or two days of the year.
	Share [53][24]float64
	// Candidate holds the share of candidate days of each week, −1 likewise.
	Candidate [53]float64
}

// Heat counts by week of the year and hour of the day.
func (d *Days) Heat() *Heat {
	h := &Heat{}
	var known [53]int
	for i := range d.Days {
		day := &d.Days[i]
		if !day.Known {
			continue
		}
		week := slotOf(day.Date()) / 7
		known[week]++
		if day.Candidate {
			h.Candidate[week]++
		}
		shift := d.Shift(day.Date())
		for label := 1; label <= 48; label++ {
			if day.Counting.Has(label) {
				h.Share[week][(label+shift+23)%24]++
			}
		}
	}
	for week := range h.Share {
		for i := range h.Share[week] {
			h.Share[week][i] = over(h.Share[week][i], known[week])
		}
		h.Candidate[week] = over(h.Candidate[week], known[week])
	}
	return h
}

func over(count float64, of int) float64 {
	if of == 0 {
		return -1
	}
	return count / float64(of)
}

// weekOf gives the week, Monday to Sunday, in which a day lies.
func weekOf(d date.Day) date.Span {
	first := d.AddDays(-(int(d.Weekday()) + 6) % 7)
	return date.Span{First: first, Last: first.AddDays(6)}
}
