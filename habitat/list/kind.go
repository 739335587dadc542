package list

import (
	"slices"
	"strings"
)

// Kind says what a list holds.
type Kind string

// The kinds of lists.
const (
	Units     Kind = "units"
	Burns     Kind = "burns"
	Pairs     Kind = "pairs"
	Locks     Kind = "locks"
	Contracts Kind = "contracts"
	Places    Kind = "places"
	// Breaks are standing breaks, along which fire stops by itself: roads, water.
	Breaks Kind = "breaks"
	// Nothing is said of shapes that stay out; it is not a list.
	Nothing Kind = "nothing"
	// contacts are whom to call; see ReadContacts.
	contacts Kind = "contacts"
)

// Kinds lists the kinds in the order in which they are imported: units before
// what speaks of them.
func Kinds() []Kind { return []Kind{Units, Pairs, Burns, Locks, Contracts, Places, Breaks} }

// ShapeKinds lists what a shape of a file can be taken as.
func ShapeKinds() []Kind { return []Kind{Units, Places, Breaks, Nothing} }

// ParseKind reads the name of a kind, also of one thing of it: units and unit.
func ParseKind(text string) (kind Kind, ok bool) {
	text = foldValue(text)
	for _, k := range append(Kinds(), Nothing) {
		if text == string(k) || text == k.One() {
			return k, true
		}
	}
	return "", false
}

// One names one thing of the kind.
func (k Kind) One() string { return strings.TrimSuffix(string(k), "s") }

// signs are the columns that tell a kind of table. They are tried in this order:
// a list of locks has a unit too.
var signs = []struct {
	kind Kind
	need []string
	any  []string
}{
	{Pairs, []string{"unit_a", "unit_b"}, nil},
	{Contracts, []string{"contract"}, []string{"practice_code", "practice_name", "standard_date", "applied_from", "fiscal_year", "acres", "feet"}},
	{Locks, []string{"unit", "program_year", "what"}, nil},
	{Burns, []string{"unit", "date"}, nil},
	{Units, []string{"unit"}, []string{"acres", "min_interval", "max_interval", lastBurned, "farm", "tract", "field_number"}},
}

// kindOf tells a table's kind from its columns, and which of them told. It is
// empty where no kind fits.
func kindOf(columns map[string]int) (kind Kind, told []string) {
	has := func(name string) bool { _, ok := columns[name]; return ok }
	for _, s := range signs {
		missing := slices.ContainsFunc(s.need, func(name string) bool { return !has(name) })
		if s.kind == Contracts && slices.ContainsFunc([]string{"min_interval", "max_interval", "date", "program_year"}, has) {
			continue // a list of units, burns or locks that names contracts as well
		}
		if missing || len(s.any) > 0 && !slices.ContainsFunc(s.any, has) {
			continue
		}
		for _, name := range slices.Concat(s.need, s.any) {
			if has(name) {
				told = append(told, name)
			}
		}
		return s.kind, told
	}
	return "", nil
}

// acceptsKinds says what headers are known.
func acceptsKinds() string {
	var all []string
	for _, s := range signs {
		need := strings.Join(s.need, ", ")
		if len(s.any) > 0 {
			need += " and one of " + strings.Join(s.any, ", ")
		}
		all = append(all, string(s.kind)+" ("+need+")")
	}
	return strings.Join(all, "; ")
}
