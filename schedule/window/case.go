package window

import (
	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
)

// Case is one burn of a unit in a season: everything that decides about its
// windows. It answers with them, and with the reason where there are none.
type Case struct {
	// Series is the weather record; nil means that windows follow from dates
	// alone, as they do where Prescription is nil.
	Series       *Series
	Prescription *prescription.Prescription
	// Card is what the unit's wind card is made of; nil where no depth is known.
	Card   *CardInput
	Firing Firing
	// Options hold what the unit says beside: WindAdjustment, StrictRain and Zone.
	// MinHours and WindFrom follow from card and firing.
	Options Options
	// Season holds the season's own dates, and Today the first of them that still
	// counts; the zero Day counts all.
	Season Season
	Today  date.Day
	// Threshold is the chance from which a week belongs to a window; 0 means
	// DefaultThreshold.
	Threshold quantity.Share
	// allowed holds winds that are taken as suiting although smoke reaches a
	// place; see Why.
	allowed [16]bool
}

// terms are what a burn is held to.
type terms struct {
	card    *Card
	need    Need
	suits   bool // some wind does
	options Options
}

// terms makes the card and what follows from it.
func (c *Case) terms() terms {
	t := terms{suits: true, options: c.Options}
	if c.Card == nil {
		t.need = NeedWithoutDepth(c.Firing, c.Prescription)
	} else {
		t.card = NewCard(*c.Card, c.Prescription, nil)
		for i := range t.card.Directions {
			if d := &t.card.Directions[i]; c.allowed[i] && d.InPrescription {
				d.IsAllowed = true
			}
		}
		if t.need, t.suits = t.card.Need(c.Firing, c.Prescription); t.suits {
			t.options.WindFrom, _ = t.card.Sectors()
		}
	}
	t.options.MinHours = t.need.Hours
	return t
}

// isDatesOnly reports whether no weather stands behind the windows.
func (c *Case) isDatesOnly() bool { return c.Series == nil || c.Prescription == nil }

// season gives the season from today on.
func (c *Case) season() Season {
	s := c.Season
	if s.First.Before(c.Today) {
		s.First = c.Today
	}
	return s
}

// Windows gives the windows of the burn from today on. The error is that of
// Series.Evaluate.
func (c *Case) Windows() ([]Window, error) {
	t, season := c.terms(), c.season()
	switch {
	case !t.suits:
		return nil, nil
	case c.isDatesOnly():
		return FromDates(season.open(), season.Closures, season.Crew), nil
	}
	t.options.only = around(season.Span)
	d, err := c.Series.Evaluate(c.Prescription, t.options)
	if err != nil {
		return nil, err
	}
	return d.Windows(season, c.Threshold), nil
}

// around marks the days of the year that decide about a span: those within
// PoolDays of its weeks.
func around(span date.Span) *[slots]bool {
	var only [slots]bool
	const margin = PoolDays + 7
	for d := span.First.AddDays(-margin); !d.After(span.Last.AddDays(margin)); d = d.AddDays(1) {
		only[slotOf(d)] = true
		if slot := slotOf(d); slot == 58 || slot == 60 {
			only[59] = true // 29 February, which the span's years may lack
		}
	}
	return &only
}

// expected gives the expected burn days of all windows; without weather, their
// usable days.
func expected(windows []Window) float64 {
	sum := 0.0
	for i := range windows {
		if w := windows[i].Weather; w != nil {
			sum += w.ExpectedDays
		} else {
			sum += float64(windows[i].UsableDays)
		}
	}
	return sum
}
