package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/assemble"
)

// NoTimeToRehearse says that a plan was not held against others.
const NoTimeToRehearse = "the time was too short to rehearse plans with different first years: the plain plan is kept"

// AssumptionWords says what was taken for granted when a problem was made, in the
// order of the values; units whose age is assumed alike are told together.
func AssumptionWords(all []assemble.Assumption) []string {
	words := make([]string, 0, len(all))
	alike := map[habitat.StandAge][]string{}
	for _, a := range all {
		if of, isAge := a.(assemble.AssumedAge); isAge {
			alike[of.Age] = append(alike[of.Age], of.Unit)
		}
	}
	for _, a := range all {
		of, isAge := a.(assemble.AssumedAge)
		if !isAge {
			words = append(words, assumptionWords(a)...)
		} else if units := alike[of.Age]; units != nil {
			words = append(words, quantity.ListFirst(units, mostAssumed)+": "+assumedAgeWords(&of.Age, len(units)))
			alike[of.Age] = nil
		}
	}
	return words
}

// mostAssumed is how many units are named of those of which one thing is assumed.
const mostAssumed = 12

func assumptionWords(assumption assemble.Assumption) []string {
	one := func(format string, args ...any) []string { return []string{fmt.Sprintf(format, args...)} }
	switch a := assumption.(type) {
	case assemble.OwnedFrom:
		late := ""
		if a.Late > 0 {
			late = fmt.Sprintf("; %d of the years before count as overdue in the shortfall all the same, alike in every plan", a.Late)
		}
		return one("%s is owned from %s on: it is closed before, and due when it comes%s", a.Unit, a.From, late)
	case assemble.OwnedUntil:
		return one("%s is owned until %s: it is closed after that, and the years after count in the shortfall by its age then", a.Unit, a.Until)
	case assemble.NotInShares:
		var where []string
		if a.Mix != "" {
			where = append(where, "its acres count in no class of "+a.Mix)
		}
		if a.Refuge != "" {
			where = append(where, "the share of refuge "+a.Refuge+" is one of the other acres alone, and its burns count in it")
		}
		return one("%s is not owned in all plan years: %s", a.Unit, strings.Join(where, "; "))
	case assemble.LineHeld:
		kind := "a lock"
		if a.Line.IsWish {
			kind = "a wish"
		}
		when := fmt.Sprint(a.Slot.Year)
		if a.Slot.Season != "" {
			when = habitat.SeasonWords(a.Slot.Season, a.Slot.Year)
		}
		return one("%s is held as %s: %s burns in %s", a.Line.Name, kind, a.Line.Unit, when)
	case assemble.LineGivenUp:
		return one("%s is a wish that cannot be kept: %s", a.Line.Name, a.Text)
	case assemble.BreaksInCost:
		return breaksWords(a)
	case assemble.GroupWithoutUnits:
		if a.IsRefuge {
			return one("refuge group %s has no units and was left out", a.Name)
		}
		return one("mix %s has no units and was left out", a.Name)
	case assemble.SeasonOver:
		return one("%s is over: nothing new is planned in it", habitat.SeasonWords(a.Season, a.Year))
	case assemble.SeasonClosed:
		return one("%s is closed to %s: closures and the crew's calendar leave no day", habitat.SeasonWords(a.Season, a.Year), closedTo(a))
	case assemble.NeverOpen:
		if a.All && len(a.Units) > 1 {
			return one("%s is closed to every unit that may burn in it, in every year: closures and the crew's calendar take all days", a.Season)
		}
		return one("%s %s no usable day in %s: closures and the crew's calendar take them all", quantity.List(a.Units), quantity.Plural(len(a.Units), "has", "have"), a.Season)
	case assemble.LockOvertaken:
		if a.Season == "" {
			return one("%s was locked to rest in %d but has burned; the record stands", a.Unit, a.Year)
		}
		return one("%s was locked to burn in %s, which is over without a burn on record; the lock is not counted", a.Unit, habitat.SeasonWords(a.Season, a.Year))
	case assemble.BurnedOutOfSeason:
		return one("%s burned on %s, outside the seasons in which it may burn; it is counted in one of them", a.Unit, a.On)
	case assemble.BurnNotCounted:
		return one("%s burned on %s, which counts for %d; the plan cannot hold that beside its other burns on record, and leaves it out", a.Unit, a.On, a.Year)
	case assemble.BurnedEarly:
		return one("%s burned in %d at age %d, before its min interval of %s; the burn stands", a.Unit, a.Year, a.Age, quantity.Count(a.MinInterval, "year"))
	case assemble.AgeSetBack:
		return one("%s: %s on %s set its stand age back; it rests in %d, and takes nothing of what may burn", a.Unit, a.Reset.By, a.Reset.On, a.Year)
	case assemble.CapGivesWay:
		return one("%d: what has burned already takes %.1f %s, more than the cap of %.1f; the cap gives way", a.Year, a.Sum, capNoun(a), a.Capped)
	case assemble.ApartBurned:
		return one("%s and %s, which are kept apart, both burned in %d; the plan starts with %d, and the units without a burn on record are taken to rest in %d",
			a.A, a.B, a.Year, a.Year+1, a.Year)
	case assemble.RefugeBurned:
		return one("%.1f acres of refuge group %s burned in %d, which allows %.1f; the plan starts with %d, and the units without a burn on record are taken to rest in %d",
			float64(a.Burned), a.Refuge, a.Year, float64(a.Allows), a.Year+1, a.Year)
	}
	panic(fmt.Sprintf("view: no words for %T", assumption))
}

// AssumedAgeWords says what a stand age rests on that no record shows; empty for one
// that a record shows.
func AssumedAgeWords(age *habitat.StandAge) string { return assumedAgeWords(age, 1) }

func assumedAgeWords(age *habitat.StandAge, units int) string {
	none := "no burn on record"
	if age.BurnedInPart {
		none = "no burn of enough of it on record"
	}
	switch age.Assumed {
	case habitat.FromEstimate:
		return fmt.Sprintf("%s by the end of %d; the estimated age of %d at the end of %d is taken as %d then",
			none, age.EndOf, age.Estimate, age.EstimatedIn, age.Years)
	case habitat.AtMaxInterval:
		return fmt.Sprintf("assumed due, with %s by the end of %d: taken as at %s max interval, %s, then", none, age.EndOf, quantity.Plural(units, "its"), quantity.Count(age.Years, "year"))
	}
	return ""
}

func breaksWords(a assemble.BreaksInCost) (words []string) {
	if a.Units > 0 {
		words = append(
			words,
			fmt.Sprintf("the cost of %d units holds their break at $%.2f a foot, as if each burned alone; neighbors that burn together need less", a.Units, a.DollarsAFoot),
		)
	}
	if len(a.WithoutShapes) > 0 {
		words = append(words, "without a shape, and so without the cost of a break: "+quantity.ListFirst(a.WithoutShapes, mostAssumed))
	}
	return words
}

// closedTo names units: all that may burn in a season, some, or how many.
func closedTo(a assemble.SeasonClosed) string {
	switch {
	case a.All:
		return "every unit that may burn in it"
	case len(a.Units) > 4:
		return fmt.Sprintf("%s and %d more units", strings.Join(a.Units[:3], ", "), len(a.Units)-3)
	}
	return strings.Join(a.Units, ", ")
}

func capNoun(a assemble.CapGivesWay) string {
	switch a.Of {
	case assemble.CapAcres:
		return "acres"
	case assemble.CapBurns:
		return "burns"
	case assemble.CapDollars:
		return "dollars"
	}
	return "burn days in " + a.Season
}
