package habitat

import (
	"slices"
	"strings"
)

// SeasonPrescription names a unit's prescription in one season.
type SeasonPrescription struct{ Season, Name string }

// parts splits Unit.Prescription: the name that holds where no other does, and
// the seasons that have their own. Parts stand between semicolons; a season's
// begins with its name and a colon.
func (u *Unit) parts() (all []SeasonPrescription) {
	for part := range strings.SplitSeq(u.Prescription, ";") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		one := SeasonPrescription{Name: part}
		if season, name, ok := strings.Cut(part, ":"); ok {
			one = SeasonPrescription{strings.TrimSpace(season), strings.TrimSpace(name)}
		}
		all = append(all, one)
	}
	return all
}

// PrescriptionIn gives the name of the unit's prescription in a season; empty
// where it has none. Season "" asks for the one that holds where no season has
// its own.
//
// Unit.Prescription "grass, dormant; early-growing: grass, growing" is the one in
// early-growing and the other else.
func (u *Unit) PrescriptionIn(season string) string {
	name := ""
	for _, part := range u.parts() {
		if part.Season == season {
			return part.Name
		}
		if part.Season == "" {
			name = part.Name
		}
	}
	return name
}

// RenameSeason gives a season that the unit names another name.
func (u *Unit) RenameSeason(from, to string) {
	u.Seasons = slices.Clone(u.Seasons)
	for i := range u.Seasons {
		if u.Seasons[i].Season == from {
			u.Seasons[i].Season = to
		}
	}
	all, touched := u.parts(), false
	words := make([]string, len(all))
	for i, part := range all {
		if part.Season == from && from != "" {
			part.Season, touched = to, true
		}
		if words[i] = part.Name; part.Season != "" {
			words[i] = part.Season + ": " + part.Name
		}
	}
	if touched {
		u.Prescription = strings.Join(words, "; ")
	}
}

// Prescriptions gives the names of all the unit's prescriptions, each once, in
// the order in which they stand.
func (u *Unit) Prescriptions() []string {
	var names []string
	for _, part := range u.parts() {
		if part.Name != "" && !slices.Contains(names, part.Name) {
			names = append(names, part.Name)
		}
	}
	return names
}

// validatePrescriptions checks the seasons that are named.
func (u *Unit) validatePrescriptions(p *Property, add func(error)) {
	seen := map[string]bool{}
	for _, part := range u.parts() {
		switch {
		case part.Season != "" && p.SeasonIndex(part.Season) < 0:
			add(
				fieldErrorf(
					"prescription",
					"a name, and after ; others such as SEASON: NAME, with seasons of the property: "+p.seasonNames(),
					"%q is not a season of this property",
					part.Season,
				),
			)
		case part.Name == "":
			add(fieldErrorf("prescription", "the name of a prescription after the colon", "season %q names no prescription", part.Season))
		case seen[part.Season] && part.Season == "":
			add(fieldErrorf("prescription", "one name without a season; others such as SEASON: NAME", "%q is a second prescription without a season", part.Name))
		case seen[part.Season]:
			add(fieldErrorf("prescription", "each season once", "%q is named twice", part.Season))
		}
		seen[part.Season] = true
	}
}

// ValidatePrescriptionName checks that units can name a prescription so.
func ValidatePrescriptionName(name string) error {
	if at := strings.IndexAny(name, ":;"); at >= 0 {
		return fieldErrorf("name", "a name without ; and :, which part the prescriptions of seasons in a list of units", "%q holds %q", name, name[at:at+1])
	}
	return ValidateName("name", name)
}
