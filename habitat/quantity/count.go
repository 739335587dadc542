package quantity

import (
	"slices"
	"strings"
)

// whole is a count of things.
type whole interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64
}

// irregular holds the nouns of the trade whose plural does not follow from their
// ending.
var irregular = map[string]string{
	"foot": "feet", "person": "people", "man": "men", "woman": "women", "child": "children",
	"half": "halves", "is": "are", "was": "were", "has": "have", "does": "do", "it": "they", "its": "their",
}

// Count gives a number of things with commas between thousands and the noun in
// its form: "1 pump", "3 pumps", "1,200 days". The plural follows the rules of
// Plural; a second noun is taken for it as it stands: Count(2, "pair of
// neighbors", "pairs of neighbors"). It is the program's only way to count aloud.
func Count[N whole](n N, one string, many ...string) string {
	return Group(float64(n), 0) + " " + Plural(n, one, many...)
}

// List joins names as a sentence does: "", "a", "a and b", "a, b and c".
func List(names []string) string {
	last := len(names) - 1
	if last < 1 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// ListFirst is List of very many names: the first ones, about most of them, and how many
// more there are: "a, b and 1,998 more". It never says "1 more".
func ListFirst(names []string, most int) string {
	if more := len(names) - most; more > 1 {
		names = append(slices.Clone(names[:most]), Group(float64(more), 0)+" more")
	}
	return List(names)
}

// Plural gives the noun alone, in the form that goes with a number: "pump" for
// 1, "pumps" for any other, also for 0 and 1.5. Only the last word of a noun
// changes: "usable day", "usable days". A second noun is taken for the plural as
// it stands; so verbs agree too: Plural(n, "takes", "take").
func Plural[N whole | ~float64](n N, one string, many ...string) string {
	switch {
	case n == 1:
		return one
	case len(many) > 0:
		return many[0]
	}
	start := strings.LastIndexAny(one, " -") + 1
	return one[:start] + pluralOf(one[start:])
}

func pluralOf(word string) string {
	if many, ok := irregular[word]; ok {
		return many
	}
	ends := func(endings ...string) bool {
		for _, e := range endings {
			if strings.HasSuffix(word, e) {
				return true
			}
		}
		return false
	}
	switch {
	case ends("s", "x", "z", "ch", "sh"):
		return word + "es"
	case ends("y") && !ends("ay", "ey", "oy", "uy"):
		return strings.TrimSuffix(word, "y") + "ies"
	}
	return word + "s"
}
