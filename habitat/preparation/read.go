package preparation

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/pattern"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/source"
)

// fileTask is a task as its file spells it.
type fileTask struct {
	Name          string   `toml:"name"`
	Units         []string `toml:"units,omitempty"`
	Covers        []string `toml:"covers,omitempty"`
	Seasons       []string `toml:"seasons,omitempty"`
	Prescriptions []string `toml:"prescriptions,omitempty"`
	Grazed        bool     `toml:"grazed,omitempty"`
	Earliest      *int     `toml:"earliest,omitempty"`
	Latest        *int     `toml:"latest,omitempty"`
	Workdays      bool     `toml:"workdays,omitempty"`
	AfterBurn     bool     `toml:"after_burn,omitempty"`
	First         string   `toml:"first,omitempty"`
	Last          string   `toml:"last,omitempty"`
	After         []string `toml:"after,omitempty"`
	Standing      string   `toml:"standing,omitempty"`
	Notes         string   `toml:"notes,omitempty"`
}

type taskFile struct {
	Task []fileTask `toml:"task"`
}

// Read reads a task list from TOML: one [[task]] a task, with name, and either
// earliest and latest (days before the burn, with after_burn = true days after it;
// workdays = true for workdays) or first and last (MM-DD). The error is a *source.List with a line for each
// fault.
func Read(r io.Reader, file string) ([]habitat.Task, error) {
	text, err := settings.ReadText(r, file, "a list of tasks as TOML")
	if err != nil {
		return nil, err
	}
	var list source.List
	var parsed taskFile
	if err := toml.Unmarshal(text, &parsed); err != nil {
		addDecodeError(&list, file, err)
		return nil, list.Err()
	}
	places := settings.FindPlaces(text)
	if addUnknownKeys(&list, file, text, places); list.Len() > 0 {
		return nil, list.Err()
	}
	tasks := make([]habitat.Task, len(parsed.Task))
	for i, ft := range parsed.Task {
		t, err := ft.task(i)
		addAll(&list, file, places, err)
		tasks[i] = t
	}
	if list.Len() == 0 {
		addAll(&list, file, places, Validate(tasks))
	}
	if len(tasks) == 0 && list.Len() == 0 {
		list.Addf(source.Position{File: file}, "one [[task]] or more", "holds no task")
	}
	return tasks, list.Err()
}

// taskKeys are the keys of a task, in the order of fileTask.
var taskKeys = func() (keys []string) {
	for f := range reflect.TypeFor[fileTask]().Fields() {
		key, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
		keys = append(keys, key)
	}
	return keys
}()

// addUnknownKeys adds the keys that no task has. (The decoder's own way to them takes time
// that grows with the square of their number.)
func addUnknownKeys(list *source.List, file string, text []byte, places settings.Places) {
	var all map[string]any
	if err := toml.Unmarshal(text, &all); err != nil {
		addDecodeError(list, file, err)
		return
	}
	type unknownKey struct{ path, key, of string }
	var unknown []unknownKey
	for key, value := range all {
		if key != "task" {
			unknown = append(unknown, unknownKey{key, key, "a list of tasks"})
			continue
		}
		tasks, _ := value.([]any)
		for i, task := range tasks {
			fields, _ := task.(map[string]any)
			for key := range fields {
				if !slices.Contains(taskKeys, key) {
					unknown = append(unknown, unknownKey{fmt.Sprintf("task[%d].%s", i, key), key, "a task"})
				}
			}
		}
	}
	slices.SortFunc(unknown, func(a, b unknownKey) int {
		return cmp.Or(cmp.Compare(places.Line(a.path), places.Line(b.path)), cmp.Compare(a.path, b.path))
	})
	for i, u := range unknown {
		accepted := taskKeys
		if u.path == u.key {
			accepted = []string{"[[task]]"}
		}
		e := &source.Error{
			Position: source.Position{File: file, Line: places.Line(u.path), Field: u.path},
			Found:    source.Quote(u.key) + " is not a key of " + u.of, Accepts: strings.Join(accepted, ", "),
		}
		if i < source.MaxShown {
			e.Hint = source.DidYouMean(u.key, accepted)
		}
		list.Add(e)
	}
}

func addDecodeError(list *source.List, file string, err error) {
	var one *toml.DecodeError
	if errors.As(err, &one) {
		line, _ := one.Position()
		at := source.Position{File: file, Line: line, Field: strings.Join(one.Key(), ".")}
		if kinds := ofAnotherKind().FindStringSubmatch(one.Error()); kinds != nil {
			list.Addf(at, kindWords(kinds[2]), "a value of kind %s stands here", kinds[1])
			return
		}
		list.Addf(at, "TOML as in the starter list", "%s", strings.TrimPrefix(one.Error(), "toml: "))
		return
	}
	list.Addf(source.Position{File: file}, "TOML as in the starter list", "%s", strings.TrimPrefix(err.Error(), "toml: "))
}

func (ft *fileTask) task(i int) (habitat.Task, error) {
	t := habitat.Task{
		Name: ft.Name, Units: ft.Units, Covers: ft.Covers, Seasons: ft.Seasons, Prescriptions: ft.Prescriptions,
		Grazed: ft.Grazed, Workdays: ft.Workdays, AfterBurn: ft.AfterBurn, After: ft.After, Standing: ft.Standing, Notes: ft.Notes,
	}
	fault := func(key, found, accepts string) error {
		return &habitat.FieldError{Field: fmt.Sprintf("task[%d].%s", i, key), Found: found, Accepts: accepts}
	}
	lead := ft.Earliest != nil || ft.Latest != nil
	yearly := ft.First != "" || ft.Last != ""
	const either = "either earliest and latest (days before the burn) or first and last (MM-DD)"
	switch {
	case lead == yearly:
		return t, fault("name", fmt.Sprintf("%q has no lead time, or two kinds of it", ft.Name), either)
	case lead && (ft.Earliest == nil || ft.Latest == nil), yearly && (ft.First == "" || ft.Last == ""):
		return t, fault("name", fmt.Sprintf("%q has only one end of its lead time", ft.Name), either)
	case lead:
		t.Earliest, t.Latest = *ft.Earliest, *ft.Latest
		return t, nil
	}
	first, err := date.ParseAnnual(ft.First)
	if err != nil {
		return t, fault("first", fmt.Sprintf("%q %v", ft.First, err), "MM-DD, such as 11-01")
	}
	last, err := date.ParseAnnual(ft.Last)
	if err != nil {
		return t, fault("last", fmt.Sprintf("%q %v", ft.Last, err), "MM-DD, such as 12-31")
	}
	t.Yearly = &date.AnnualSpan{First: first, Last: last}
	return t, nil
}

// addAll adds the field errors that are joined in err, each with its place.
func addAll(list *source.List, file string, places settings.Places, err error) {
	if err == nil {
		return
	}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, one := range joined.Unwrap() {
			addAll(list, file, places, one)
		}
		return
	}
	var field *habitat.FieldError
	if !errors.As(err, &field) {
		list.Addf(source.Position{File: file}, "", "%v", err)
		return
	}
	list.Addf(source.Position{File: file, Line: places.Line(field.Field), Field: field.Field}, field.Accepts, "%s", field.Found)
}

// Write writes a task list as Read reads it, with a comment on its keys.
func Write(w io.Writer, tasks []habitat.Task) error {
	var parsed taskFile
	for _, t := range tasks {
		ft := fileTask{
			Name: t.Name, Units: t.Units, Covers: t.Covers, Seasons: t.Seasons, Prescriptions: t.Prescriptions,
			Grazed: t.Grazed, Workdays: t.Workdays, AfterBurn: t.AfterBurn, After: t.After, Standing: t.Standing, Notes: t.Notes,
		}
		if t.Yearly != nil {
			ft.First, ft.Last = t.Yearly.First.String(), t.Yearly.Last.String()
		} else {
			ft.Earliest, ft.Latest = &t.Earliest, &t.Latest
		}
		parsed.Task = append(parsed.Task, ft)
	}
	body, err := toml.Marshal(parsed)
	if err != nil {
		return fmt.Errorf("write tasks: %w", err)
	}
	_, err = io.WriteString(w, `# What must be done before a unit burns, and after it has. earliest and latest are
# days before the first day of the burn window (workdays = true counts workdays);
# with after_burn = true they are days after the burn, earliest the smaller. first
# and last are a yearly range as MM-DD. units, covers, seasons and prescriptions narrow
# the burns that a task belongs to, grazed = true to units that the settings call
# grazed; after names tasks that come first. Planning
# aids: permits, notices and closures have their own law in every place.

`+string(body))
	return err
}

// ofAnotherKind is how the reader of TOML says that a value does not fit its key: in words
// of this program's insides, which tell nobody what to write.
var ofAnotherKind = pattern.Lazy(`cannot decode TOML (\w+) into .* of type (\S+)`)

// kindWords says what a key takes.
func kindWords(kind string) string {
	switch kind = strings.TrimLeft(kind, "*"); {
	case strings.HasPrefix(kind, "int"):
		return "a whole number"
	case kind == "bool":
		return "true or false"
	case strings.HasPrefix(kind, "[]"):
		return "a list"
	}
	return "text in quotes"
}
