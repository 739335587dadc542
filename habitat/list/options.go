package list

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/source"
)

// DateForm says how a list writes its dates.
type DateForm string

// The forms of dates.
const (
	// YearFirst is YYYY-MM-DD, the default.
	YearFirst DateForm = "ymd"
	// MonthFirst is M/D/YYYY, as in the United States.
	MonthFirst DateForm = "mdy"
	// DayFirst is D/M/YYYY or D.M.YYYY.
	DayFirst DateForm = "dmy"
)

// Options say what a list does not say itself. The zero value asks for nothing.
type Options struct {
	// Kind says what the list holds; empty means that its header tells, and of
	// shapes what each of them is.
	Kind Kind
	// As says what single shapes of a file are, by their names, in any case: Units,
	// Places, Breaks or Nothing, which leaves them out. It goes before Kind.
	As map[string]Kind
	// Units names the units that are known: a shape that bears one of their names,
	// in any case, is that unit's.
	Units []string
	// Sheet names the sheet of a workbook; empty means the first that fits.
	Sheet string
	// Columns gives, for our columns, the headers under which they stand in the
	// file; an empty header means that the column is not read.
	Columns map[string]string
	// Values gives, for our columns, what the words of the file mean. Case and
	// blanks around them do not matter.
	Values map[string]map[string]string
	// Set gives values of columns that the file does not have.
	Set map[string]string
	// Dates is the form of the dates; empty means YearFirst.
	Dates DateForm
	// Merge takes several rows of one unit, or of one burn, as its parts: acres
	// and shapes are added. Without it they are faults.
	Merge bool
	// CapAcres takes burned acres above those of the unit as the whole unit, with
	// a note: units were larger once, or measured otherwise. Without it they are
	// faults.
	CapAcres bool
	// LeaveOut leaves faulty rows out instead of refusing the list.
	LeaveOut bool
	// System names the coordinate system of shapes whose file does not.
	System string
}

// ParseColumns reads "unit=Watershed,date=Date"; an entry with a comma in its
// header stands in double quotes, and "acres=" leaves a column unread.
func ParseColumns(text string) (map[string]string, error) {
	all := map[string]string{}
	return all, eachEntry(text, func(entry string) error {
		ours, theirs, ok := strings.Cut(entry, "=")
		ours, theirs = key(ours), strings.TrimSpace(theirs)
		if !ok || ours == "" {
			return fmt.Errorf("%q names no column; accepts ours=THEIRS, such as unit=Watershed", entry)
		}
		if _, again := all[ours]; again {
			return fmt.Errorf("%q is named twice; accepts each column once", ours)
		}
		all[ours] = theirs
		return nil
	})
}

// ParseValues reads "kind:PP=prescribed,PU=prescribed,WP=wildfire": what the
// words of one column mean.
func ParseValues(texts ...string) (map[string]map[string]string, error) {
	all := map[string]map[string]string{}
	for _, text := range texts {
		column, rest, ok := strings.Cut(text, ":")
		column = key(column)
		if !ok || column == "" {
			return nil, fmt.Errorf("%q names no column; accepts column:THEIRS=ours, such as kind:PP=prescribed", text)
		}
		if all[column] == nil {
			all[column] = map[string]string{}
		}
		err := eachEntry(rest, func(entry string) error {
			theirs, ours, ok := strings.Cut(entry, "=")
			if !ok {
				return fmt.Errorf("%q has no =; accepts THEIRS=ours, such as PP=prescribed", entry)
			}
			all[column][foldValue(theirs)] = strings.TrimSpace(ours)
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}

// eachEntry parts a text at its commas, as CSV does.
func eachEntry(text string, do func(entry string) error) error {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	r := csv.NewReader(strings.NewReader(text))
	r.TrimLeadingSpace = true
	entries, err := r.Read()
	if err != nil {
		return fmt.Errorf("%q cannot be parted at its commas; accepts name=value, with double quotes around one that holds a comma", text)
	}
	for _, entry := range entries {
		if err := do(entry); err != nil {
			return err
		}
	}
	return nil
}

// ParseAs reads what lists and shapes are taken as: "places" says it of all, "house=place"
// of the shape of that name. A name may hold "=": the last one counts.
func ParseAs(texts ...string) (all Kind, as map[string]Kind, err error) {
	as = map[string]Kind{}
	seen := map[string]bool{}
	for _, text := range texts {
		name, word, isNamed := "", text, false
		if i := strings.LastIndexByte(text, '='); i >= 0 {
			name, word, isNamed = strings.TrimSpace(text[:i]), text[i+1:], true
		}
		kind, ok := ParseKind(word)
		switch {
		case !ok && isNamed, isNamed && !slices.Contains(ShapeKinds(), kind):
			return "", nil, asFault(word, true)
		case !ok, kind == Nothing && !isNamed:
			return "", nil, asFault(word, false)
		case isNamed && name == "":
			return "", nil, fmt.Errorf("%q names no shape; accepts NAME=KIND, such as house=place", text)
		case isNamed:
			if seen[key(name)] {
				return "", nil, fmt.Errorf("%q is named twice; accepts each shape once", name)
			}
			as[name], seen[key(name)] = kind, true
		case all != "":
			return "", nil, fmt.Errorf("%s and %s cannot be combined; use one, and NAME=KIND for single shapes", all, kind)
		default:
			all = kind
		}
	}
	return all, as, nil
}

// AsNamed gives what is said of single shapes by their names as they stand in a file;
// what is not a kind of shapes is passed over.
func AsNamed(said map[string]string) map[string]Kind {
	as := map[string]Kind{}
	for name, word := range said {
		if kind, ok := ParseKind(word); ok && slices.Contains(ShapeKinds(), kind) {
			as[name] = kind
		}
	}
	return as
}

func asFault(word string, isNamed bool) error {
	var words []string
	if isNamed {
		for _, k := range ShapeKinds() {
			words = append(words, k.One())
		}
	} else {
		for _, k := range Kinds() {
			words = append(words, string(k))
		}
	}
	err := fmt.Errorf("%q is not a kind of list; accepts %s", strings.TrimSpace(word), strings.Join(words, ", "))
	if hint := source.DidYouMean(word, words); hint != "" {
		err = fmt.Errorf("%w\nhint: %s", err, hint)
	}
	return err
}

// mostFaults is how many faults of a list are kept: those of rows that are left out
// are all named.
func (o *Options) mostFaults() int {
	if o.LeaveOut {
		return mostLeftOut
	}
	return source.MaxShown
}

func foldValue(text string) string { return strings.ToLower(strings.TrimSpace(text)) }

// key brings a header to the form in which headers are compared: case does not
// matter, and _, - and blanks are one.
func key(header string) string {
	fields := strings.FieldsFunc(strings.ToLower(header), func(r rune) bool { return r == '_' || r == '-' || r == ' ' || r == '\t' || r == '\u00a0' })
	return strings.Join(fields, "_")
}
