package window

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
)

// NoWindow says why a burn has no window, and what would give it one.
type NoWindow struct {
	// SeasonDays counts the days of the season, Usable those that the calendar
	// leaves, Candidates the candidate days among them in an average year.
	SeasonDays int     `json:"season_days"`
	Usable     int     `json:"usable_days"`
	Candidates float64 `json:"candidate_days"`
	// Lost says what each cause takes, in the order of the causes.
	Lost []Loss `json:"lost"`
	// Binds is the cause that stands in the way: the one without which the most
	// burn days could be expected in windows; where none alone would give any,
	// CauseRare if there are candidate days and else the one that takes the most.
	Binds Cause `json:"binds"`
	// Cause says it in a sentence.
	Cause string `json:"cause"`
	// WouldGive lists what would give windows, found by asking again.
	WouldGive []Remedy `json:"would_give"`
	// DatesOnly says that no weather stands behind it.
	DatesOnly bool `json:"dates_only"`
}

// Remedy is one change that gives windows. It informs, and advises nothing.
type Remedy struct {
	// Change says what, in words.
	Change string `json:"change"`
	// Windows counts the windows that it gives, ExpectedDays their expected burn
	// days; without weather, their usable days.
	Windows      int     `json:"windows"`
	ExpectedDays float64 `json:"expected_days"`
}

// Words says the remedy in a sentence.
func (r *Remedy) Words() string {
	return fmt.Sprintf("%s: %s, %s expected", r.Change, quantity.Count(r.Windows, "window"), days(r.ExpectedDays))
}

func days(v float64) string {
	text := quantity.Group(v, 1)
	text = strings.TrimSuffix(text, ".0")
	return text + " " + quantity.Plural(v, "day")
}

// Why says why the burn has no window; nil where it has one. The error is that
// of Series.Evaluate.
func (c *Case) Why() (*NoWindow, error) {
	windows, err := c.Windows()
	if err != nil || len(windows) > 0 {
		return nil, err
	}
	n := &NoWindow{DatesOnly: c.isDatesOnly(), WouldGive: []Remedy{}}
	n.Lost, n.SeasonDays, n.Usable = c.calendarLosses()
	t := c.terms()
	switch {
	case !n.DatesOnly:
		lost, candidates, err := c.weatherLosses(&t, n.Usable)
		if err != nil {
			return nil, err
		}
		n.Lost, n.Candidates = append(n.Lost, lost...), candidates
	case !t.suits:
		n.Lost = append(n.Lost, c.windLoss(&t, n.Usable))
	}
	if err := c.bind(n); err != nil {
		return nil, err
	}
	if n.WouldGive, err = c.remedies(&t, n); err != nil {
		return nil, err
	}
	n.Cause = c.sentence(&t, n)
	return n, nil
}

// windLoss is the loss of all usable days where no wind suits and no record
// tells from where it blows.
func (c *Case) windLoss(t *terms, usable int) Loss {
	for i := range t.card.Directions {
		if t.card.Directions[i].InPrescription {
			return Loss{CauseSmoke, float64(usable), strings.Join(smokePlaces(t.card), ", ")}
		}
	}
	return Loss{CauseDirection, float64(usable), sectorWords(c.Prescription.WindFrom)}
}

// smokePlaces lists the places that forbid a wind of the prescription, that of
// the most winds first.
func smokePlaces(card *Card) []string {
	count := map[string]int{}
	var names []string
	for i := range card.Directions {
		d := &card.Directions[i]
		if !d.InPrescription || d.IsAllowed {
			continue
		}
		for _, r := range d.Smoke {
			if !r.Tolerated {
				if count[r.Name] == 0 {
					names = append(names, r.Name)
				}
				count[r.Name]++
			}
		}
	}
	sort.SliceStable(names, func(i, k int) bool { return count[names[i]] > count[names[k]] })
	return names
}

// without gives the case as if a cause were not there; ok is false where there
// is no such thing.
func (c *Case) without(cause Cause) (other Case, ok bool) {
	o := *c
	var p prescription.Prescription
	if c.Prescription != nil {
		p = *c.Prescription
		o.Prescription = &p
	}
	switch cause {
	case CauseClosure:
		o.Season.Closures = nil
	case CauseDayOff:
		o.Season.Crew = nil
	case CausePreparation:
		o.Season.Ready = c.Season.First
	case CauseDaylight:
		p.DaylightOnly = false
	case CauseTemperature:
		p.Temperature = prescription.Range[quantity.Fahrenheit]{}
	case CauseHumidity:
		p.Humidity = prescription.Range[quantity.Percent]{}
	case CauseWindSpeed:
		p.Wind = prescription.Range[quantity.MilesPerHour]{}
	case CauseGusts:
		p.Gust = prescription.Range[quantity.MilesPerHour]{}
	case CauseMixing:
		p.MixingHeight = prescription.Range[quantity.Feet]{}
	case CauseTransport:
		p.TransportWind, p.TransportFrom = prescription.Range[quantity.MilesPerHour]{}, nil
	case CauseMoisture:
		p.FuelMoisture = prescription.Range[quantity.Percent]{}
	case CauseSinceRain:
		p.SinceRain = nil
	case CauseRain:
		p.DryHour = false
	case CauseDirection:
		p.WindFrom = nil
	case CauseSmoke:
		if c.Card == nil {
			return o, false
		}
		card := *c.Card
		card.SmokeAllowed = true
		o.Card = &card
	case CauseTooShort:
		p.MinHours = 1
		o.Firing = Firing{Hours: 1}
	default:
		return o, false
	}
	return o, true
}

// bind finds the cause that stands in the way.
func (c *Case) bind(n *NoWindow) error {
	best, most := -1.0, 0.0
	// Runs are also short because other causes cut them: that they are is the last
	// word, where nothing else alone would give a window.
	causes := slices.Clone(n.Lost)
	slices.SortStableFunc(causes, func(a, b Loss) int {
		last := func(l Loss) int { return map[bool]int{true: 1}[l.Cause == CauseTooShort] }
		return last(a) - last(b)
	})
	for i := range causes {
		loss := &causes[i]
		if loss.Cause == CauseTooShort && best > 0 {
			break
		}
		days := 0.0
		if other, ok := c.without(loss.Cause); ok {
			windows, err := other.Windows()
			if err != nil {
				return err
			}
			days = expected(windows)
		}
		if days > best+1e-9 || days > best-1e-9 && loss.Days > most {
			best, most, n.Binds = days, loss.Days, loss.Cause
		}
	}
	if best <= 0 && n.Candidates > 0 || len(n.Lost) == 0 {
		n.Binds = CauseRare
	}
	return nil
}

// mostLinesMore is how many interior lines more are asked for.
const mostLinesMore = 5

// remedies asks again, one change at a time, and keeps those that give windows.
func (c *Case) remedies(t *terms, n *NoWindow) ([]Remedy, error) {
	found := []Remedy{}
	ask := func(other Case, change string) (bool, error) {
		windows, err := other.Windows()
		if err != nil || len(windows) == 0 {
			return false, err
		}
		found = append(found, Remedy{change, len(windows), expected(windows)})
		return true, nil
	}
	for _, step := range []func(func(Case, string) (bool, error)) error{
		func(ask func(Case, string) (bool, error)) error { return c.askCalendar(n, ask) },
		func(ask func(Case, string) (bool, error)) error { return c.askWinds(t, ask) },
		func(ask func(Case, string) (bool, error)) error { return c.askLines(t, ask) },
		func(ask func(Case, string) (bool, error)) error { return c.askLimits(t, ask) },
		func(ask func(Case, string) (bool, error)) error { return c.askThreshold(ask) },
	} {
		if err := step(ask); err != nil {
			return nil, err
		}
	}
	sort.SliceStable(found, func(i, k int) bool { return found[i].ExpectedDays > found[k].ExpectedDays+1e-9 })
	return found, nil
}

// askCalendar asks without closures, on days off and without preparation.
func (c *Case) askCalendar(n *NoWindow, ask func(Case, string) (bool, error)) error {
	for _, of := range []struct {
		cause  Cause
		change string
	}{{CauseClosure, "without the closures"}, {CauseDayOff, "days off worked too"}, {CausePreparation, "the preparation done earlier"}} {
		if !slices.ContainsFunc(n.Lost, func(l Loss) bool { return l.Cause == of.cause }) {
			continue
		}
		if other, ok := c.without(of.cause); ok {
			if _, err := ask(other, of.change); err != nil {
				return err
			}
		}
	}
	return nil
}

// askWinds asks with one place tolerated, with one wind allowed, and with all
// smoke allowed where neither helps.
func (c *Case) askWinds(t *terms, ask func(Case, string) (bool, error)) error {
	if t.card == nil {
		return nil
	}
	helped := false
	names := smokePlaces(t.card)
	for _, name := range names {
		card := *c.Card
		card.Places = slices.Clone(card.Places)
		for i := range card.Places {
			if card.Places[i].Name == name {
				card.Places[i].Tolerated = true
			}
		}
		other := *c
		other.Card = &card
		ok, err := ask(other, "smoke tolerated at "+name)
		if err != nil {
			return err
		}
		helped = helped || ok
	}
	for i := range t.card.Directions {
		d := &t.card.Directions[i]
		if d.IsAllowed || !d.InPrescription {
			continue
		}
		other := *c
		other.allowed[i] = true
		var reached []string
		for _, r := range d.Smoke {
			if !r.Tolerated {
				reached = append(reached, r.Name)
			}
		}
		ok, err := ask(other, fmt.Sprintf("wind from %s allowed, which carries smoke to %s", d.From.Compass(), strings.Join(reached, ", ")))
		if err != nil {
			return err
		}
		helped = helped || ok
	}
	if other, ok := c.without(CauseSmoke); ok && !helped && len(names) > 0 {
		_, err := ask(other, "smoke allowed wherever it goes")
		return err
	}
	return nil
}

// askLines asks with more interior lines, or with fewer hours where they are the
// user's own or the prescription's.
func (c *Case) askLines(t *terms, ask func(Case, string) (bool, error)) error {
	if !t.suits || t.need.Hours <= 1 {
		return nil
	}
	if t.card != nil && (t.need.Basis == FromDepth || t.need.Basis == OwnLines) {
		for more := 1; more <= mostLinesMore; more++ {
			lines := t.need.Lines + more
			other := *c
			other.Firing.Lines, other.Firing.Spacing = &lines, 0
			next := other.terms().need
			if next.Hours >= t.need.Hours {
				continue
			}
			change := fmt.Sprintf("%s in place of %d, which shortens the run to %s", quantity.Count(lines, "interior line"), t.need.Lines, quantity.Count(next.Hours, "hour"))
			if ok, err := ask(other, change); ok || err != nil {
				return err
			}
			if next.Basis == Prescribed {
				break
			}
		}
		return nil
	}
	other := *c
	hours := t.need.Hours - 1
	other.Firing = Firing{Hours: hours}
	_, err := ask(other, fmt.Sprintf("%s in a row in place of %d", quantity.Count(hours, "hour"), t.need.Hours))
	return err
}

// askLimits asks with each limit of the prescription one step wider.
func (c *Case) askLimits(t *terms, ask func(Case, string) (bool, error)) error {
	if c.isDatesOnly() {
		return nil
	}
	for _, l := range limitsOf(c.Prescription, Options{MinHours: 1}, DefaultSteps) {
		if l.step == "" && l.key != "dry_hour" && l.key != "daylight_only" || l.key == "min_hours" {
			continue
		}
		drop := l.step == ""
		p, _ := l.change(*c.Prescription, drop)
		other := *c
		other.Prescription = p
		change := fmt.Sprintf("%s wider by %s (%s)", l.key, l.step, l.states)
		if drop {
			change = "without " + l.key
		}
		if _, err := ask(other, change); err != nil {
			return err
		}
	}
	return nil
}

// askThreshold asks with the chance of the best week as threshold.
func (c *Case) askThreshold(ask func(Case, string) (bool, error)) error {
	t := c.terms()
	if c.isDatesOnly() || !t.suits {
		return nil
	}
	t.options.only = around(c.season().Span)
	d, err := c.Series.Evaluate(c.Prescription, t.options)
	if err != nil {
		return err
	}
	season, chances, best := c.season(), d.Chances(), quantity.Share(0)
	open := season.open()
	for first := open.First; !first.After(open.Last); first = weekOf(first).Last.AddDays(1) {
		week := weekOf(first)
		week.First = first
		if week.Last.After(open.Last) {
			week.Last = open.Last
		}
		if chance, ok := chances.Over(week); ok {
			best = max(best, chance)
		}
	}
	percent := math.Floor(float64(best) * 100)
	if percent < 1 {
		return nil
	}
	other := *c
	other.Threshold = quantity.Share(percent / 100)
	_, err = ask(other, fmt.Sprintf("a window taken from weeks with a chance of %.0f%%, that of the best week (window_chance in the settings)", percent))
	return err
}

// sentence says the cause that binds.
func (c *Case) sentence(t *terms, n *NoWindow) string {
	total := 0.0
	var details []string
	for _, l := range n.Lost {
		if l.Cause == n.Binds {
			total += l.Days
			if l.Detail != "" {
				details = append(details, l.Detail)
			}
		}
	}
	suits := "no day suits"
	if n.Candidates >= 0.05 {
		suits = fmt.Sprintf("too few days suit (%s of %s in an average year)", days(n.Candidates), quantity.Count(n.Usable, "usable day"))
	}
	of := fmt.Sprintf("%s of %s", days(math.Round(total)), quantity.Count(n.Usable, "usable day"))
	switch n.Binds {
	case CausePast:
		return "the season is over"
	case CauseClosure:
		return fmt.Sprintf("no day is left: closures take %s of the season's %d", days(total), n.SeasonDays)
	case CauseDayOff:
		return fmt.Sprintf("no day is left: the crew's days off take %s of the season's %d", days(total), n.SeasonDays)
	case CausePreparation:
		return fmt.Sprintf("no day is left: the preparation ends too late, which takes %s of the season's %d", days(total), n.SeasonDays)
	case CauseSmoke:
		winds, out := 0, 0
		for i := range t.card.Directions {
			d := &t.card.Directions[i]
			if d.InPrescription {
				winds++
				if !d.IsAllowed {
					out++
				}
			}
		}
		places := smokePlaces(t.card)
		return suits + fmt.Sprintf(": smoke reaches %s in %d of %s", list(places), out, quantity.Count(winds, "wind")+" of the prescription")
	case CauseDirection:
		return suits + fmt.Sprintf(": the wind blows from outside the prescription's %s on %s", sectorWords(c.Prescription.WindFrom), of)
	case CauseTooShort:
		hours := t.need.Hours
		if hours == 0 && c.Prescription != nil {
			hours = c.Prescription.MinHours
		}
		return suits + fmt.Sprintf(": the run is too short on %s; %s in a row are needed", of, quantity.Count(hours, "hour"))
	case CauseRare:
		text := fmt.Sprintf("too few days suit: %s of %s in an average year, and no week reaches the chance asked for", days(n.Candidates), quantity.Count(n.Usable, "usable day"))
		if most := mostLost(n.Lost); most != nil {
			text += fmt.Sprintf("; most are lost to %s", most.Cause)
		}
		return text
	case CauseDaylight:
		return suits + fmt.Sprintf(": no burn hour lies between sunrise and sunset on %s", of)
	case CauseRain:
		return suits + fmt.Sprintf(": rain in every hour that would do, on %s", of)
	}
	return suits + fmt.Sprintf(": %s (%s) fails on %s", n.Binds, strings.Join(details, ", "), of)
}

// mostLost gives the loss that weather makes of the most days; nil without one.
func mostLost(losses []Loss) *Loss {
	var most *Loss
	for i := range losses {
		switch l := &losses[i]; {
		case l.Cause == CausePast || l.Cause == CauseClosure || l.Cause == CauseDayOff || l.Cause == CausePreparation:
		case most == nil || l.Days > most.Days:
			most = l
		}
	}
	return most
}

// list joins the names of places.
func list(names []string) string {
	if len(names) == 0 {
		return "a place"
	}
	return quantity.List(names)
}
