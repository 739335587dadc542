package source

import (
	"slices"
	"strings"
	"unicode"
)

// mostNear is how many candidates a hint names.
const mostNear = 3

// longestWord bounds what is compared: longer words are no slips of the pen.
const longestWord = 64

// Near gives the candidates that a user may have meant by a word that is none of
// them, the nearest first, three at most; nil where none is near. Case does not
// matter. Near are candidates with a few letters otherwise, and those of which the
// word is a part, such as "creek" of "Creek Patch".
func Near(word string, candidates []string) []string {
	word = strings.ToLower(strings.TrimSpace(word))
	letters := []rune(word)
	if len(letters) == 0 || len(word) > longestWord {
		return nil
	}
	type found struct {
		name string
		away int
	}
	most := max(1, len(letters)/3)
	var all []found
	for _, name := range candidates {
		low := strings.ToLower(name)
		away := most + 1
		if n := len([]rune(low)); n <= len(letters)+most && n >= len(letters)-most {
			away = distance(letters, []rune(low))
		}
		if away > most && isPart(word, low) {
			away = most // as good as the farthest slip
		}
		if away <= most && !slices.ContainsFunc(all, func(f found) bool { return f.name == name }) {
			all = append(all, found{name, away})
		}
	}
	if i := slices.IndexFunc(all, func(f found) bool { return f.away == 0 }); i >= 0 {
		return []string{all[i].name} // but for its case, it is that one
	}
	slices.SortStableFunc(all, func(a, b found) int { return a.away - b.away })
	var names []string
	for _, f := range all[:min(len(all), mostNear)] {
		names = append(names, f.name)
	}
	return names
}

// isPart reports whether one of two texts has the other as its beginning, or as some
// of its words. Parts below three letters say nothing.
func isPart(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(a) < 3 {
		return false
	}
	return strings.HasPrefix(b, a) || strings.Contains(" "+strings.ReplaceAll(b, "-", " ")+" ", " "+a+" ")
}

// Nearest gives the candidate that is most likely what the user meant by a
// misspelled word, or an empty text where none is near; see Near.
func Nearest(word string, candidates []string) string {
	if near := Near(word, candidates); len(near) > 0 {
		return near[0]
	}
	return ""
}

// DidYouMean words the hint about a word that is none of the candidates: "did you mean
// Creek Patch or Creek Bend?". It is empty where none is near. Every hint about a name
// that is not known is worded here.
func DidYouMean(word string, candidates []string) string {
	near := Near(word, candidates)
	if len(near) == 0 {
		return ""
	}
	for i, name := range near {
		if !isPlain(name) {
			near[i] = Quote(name)
		}
	}
	last := len(near) - 1
	if last == 0 {
		return "did you mean " + near[0] + "?"
	}
	return "did you mean " + strings.Join(near[:last], ", ") + " or " + near[last] + "?"
}

// isPlain reports whether a word stands in a sentence, or in a shell, as it is.
func isPlain(word string) bool {
	return word != "" && strings.IndexFunc(word, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsNumber(r) && !strings.ContainsRune("_./:@%+,=-", r)
	}) < 0
}

// ShellQuote gives a text as it is typed as one word of a command line: as it is, in
// double quotes, which every shell knows, or in single ones where it holds what a
// shell would read in double ones.
func ShellQuote(text string) string {
	switch {
	case isPlain(text):
		return text
	case !strings.ContainsAny(text, "\"$`\\!%"):
		return `"` + text + `"`
	}
	return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'"
}

// distance counts the letters to insert, drop, replace or swap with their
// neighbor that turn a into b (optimal string alignment).
func distance(a, b []rune) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			same := 1
			if a[i] == b[j] {
				same = 0
			}
			row[j+1] = min(last[j]+same, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
