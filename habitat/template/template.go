// Package template reads and writes county templates: what holds for every property of
// a county, in one file, with where it is from. A file enters as text with the settings
// that are shared, tasks, prescriptions and closures; it leaves as a Template that is
// laid over a property.
package template

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/source"
)

// Template is what holds for every property of a county.
type Template struct {
	habitat.TemplateOrigin
	Tasks         []habitat.Task
	Prescriptions []*prescription.Prescription
	// text are the settings, as they stand in the file.
	text []byte
	file string
}

const accepts = "a county template: TOML text that begins with template = { name = …, source = …, date = … }"

// Is reports whether a text is a template, not the settings of one property.
func Is(text []byte) bool {
	values, _, err := settings.Values(text, "", accepts)
	return err == nil && values["template"] != nil
}

// Read reads a template; file is its name in errors. Every fault has its line.
func Read(r io.Reader, file string) (*Template, error) {
	text, err := settings.ReadText(r, file, accepts)
	if err != nil {
		return nil, err
	}
	values, places, err := settings.Values(text, file, accepts)
	if err != nil {
		return nil, err
	}
	t := &Template{text: text, file: file}
	var list source.List
	t.head(&list, values["template"], places)
	if values["task"] != nil {
		t.Tasks, err = preparation.Read(bytes.NewReader(settings.Sections(text, "task")), file)
		add(&list, err)
		for i := range t.Tasks {
			if len(t.Tasks[i].Units) > 0 {
				t.bad(&list, places, fmt.Sprintf("task[%d].units", i), "a task of every unit", "names units of one property")
			}
		}
	}
	t.prescriptions(&list, values["prescription"], places)
	_, err = t.alone()
	add(&list, err)
	return t, list.Err()
}

// alone lays the template over a property that says nothing.
func (t *Template) alone() (habitat.Property, error) {
	base := habitat.NewProperty("a property")
	base.Seasons = []habitat.Season{{Name: "all year", Span: date.AnnualSpan{First: date.Annual{Month: 1, Dom: 1}, Last: date.Annual{Month: 12, Dom: 31}}}}
	return t.settings(&base)
}

// Read reads the settings of a property that is to be under the template: they may leave
// away what the template gives, such as the seasons.
func (t *Template) Read(r io.Reader, file string) (habitat.Property, error) {
	text, err := settings.ReadText(r, file, "the settings of a property in TOML")
	if err != nil {
		return habitat.Property{}, err
	}
	if values, _, err := settings.Values(t.text, t.file, accepts); err != nil || values["season"] == nil {
		return settings.Parse(text, file)
	}
	shared, err := t.alone()
	if err != nil {
		return habitat.Property{}, err
	}
	return settings.ParseUnder(text, file, &shared)
}

func (t *Template) bad(list *source.List, places settings.Places, path, accepts, found string) {
	list.Addf(source.Position{File: t.file, Line: places.Line(path), Field: path}, accepts, "%s", found)
}

// add puts the faults of another reader on a list.
func add(list *source.List, err error) {
	var one *source.Error
	var many *source.List
	switch {
	case errors.As(err, &many):
		for _, e := range many.Errors {
			list.Add(e)
		}
	case errors.As(err, &one):
		list.Add(one)
	case err != nil:
		list.Addf(source.Position{}, "", "%v", err)
	}
}

func (t *Template) head(list *source.List, value any, places settings.Places) {
	head, ok := value.(map[string]any)
	if !ok {
		t.bad(list, places, "template", `template = { name = "Riley County, Kansas", source = "who says so", date = "2026-11-25" }`, "is missing or not a table")
		return
	}
	texts := map[string]string{}
	for key, value := range head {
		text, isText := value.(string)
		switch {
		case !slices.Contains([]string{"name", "source", "date"}, key):
			t.bad(list, places, "template."+key, "name, source, date", "is not a key of template")
		case !isText:
			t.bad(list, places, "template."+key, "text in quotes", "is not text")
		}
		texts[key] = text
	}
	t.Name, t.Source = texts["name"], texts["source"]
	on, err := date.ParseDay(texts["date"])
	if err != nil && texts["date"] != "" {
		t.bad(list, places, "template.date", "a date as YYYY-MM-DD", source.Quote(texts["date"])+" is not a date")
		return
	}
	t.On = on
	for _, err := range settings.Flatten(t.Validate("template")) {
		var fault *habitat.FieldError
		if errors.As(err, &fault) {
			t.bad(list, places, fault.Field, fault.Accepts, fault.Found)
		}
	}
}

// prescriptions reads the JSON texts of the prescriptions.
func (t *Template) prescriptions(list *source.List, value any, places settings.Places) {
	all, _ := value.([]any)
	if value != nil && all == nil {
		t.bad(list, places, "prescription", "tables that each begin with [[prescription]]", "is not a list of tables")
	}
	for i, one := range all {
		path := fmt.Sprintf("prescription[%d].json", i)
		values, _ := one.(map[string]any)
		text, ok := values["json"].(string)
		if !ok || len(values) != 1 {
			t.bad(list, places, path, "json alone, a prescription file's text between ''' and '''", "is missing or not alone")
			continue
		}
		p, err := prescription.Parse(t.file, []byte(text))
		if err != nil {
			var inner source.List
			add(&inner, err)
			for _, e := range inner.Errors { // the text begins on the line after json = '''
				e.Line += places.Line(path)
				list.Add(e)
			}
			continue
		}
		var fault *habitat.FieldError
		switch err := habitat.ValidatePrescriptionName(p.Name); {
		case errors.As(err, &fault):
			t.bad(list, places, path, fault.Accepts, fault.Found)
		case slices.ContainsFunc(t.Prescriptions, func(o *prescription.Prescription) bool { return o.Name == p.Name }):
			t.bad(list, places, path, "each prescription once", source.Quote(p.Name)+" stands twice")
		default:
			t.Prescriptions = append(t.Prescriptions, p)
		}
	}
}

func (t *Template) settings(p *habitat.Property) (habitat.Property, error) {
	return settings.ParseOver(t.text, t.file, p, "template", "task", "prescription")
}

// Over lays the template over the settings of a property, which then name it; what it
// does not name stays.
func (t *Template) Over(p *habitat.Property) (habitat.Property, error) {
	over, err := t.settings(p)
	if err != nil {
		return habitat.Property{}, err
	}
	over.Templates = slices.Clone(over.Templates)
	at := slices.IndexFunc(over.Templates, func(o habitat.TemplateOrigin) bool { return o.Name == t.Name })
	if at < 0 {
		over.Templates = append(over.Templates, t.TemplateOrigin)
	} else {
		over.Templates[at] = t.TemplateOrigin
	}
	return over, nil
}

// Write writes what of a property holds for its county too: Read gives it back. Tasks
// of single units are left out.
func Write(w io.Writer, t *Template, p *habitat.Property) error {
	var out bytes.Buffer
	out.WriteString(
		"# A county template: settings, closures, tasks and prescriptions that hold for many\n# properties. emberquilt new --template and settings --load take it. A planning aid:\n# permits, notices and closures have their own law in every place, and a prescription is a\n# starting point for a written burn plan. Check it before you hand it on.\n",
	)
	quoted := func(text string) string {
		data, _ := json.Marshal(text) // a JSON text is a basic string of TOML
		return string(data)
	}
	fmt.Fprintf(&out, "template = { name = %s, source = %s, date = \"%s\" }\n\n", quoted(t.Name), quoted(t.Source), t.On)
	out.Write(settings.FormatShared(p))
	for _, one := range t.Prescriptions {
		data, err := one.MarshalJSON()
		if err != nil {
			return err
		}
		var text bytes.Buffer
		if err := json.Indent(&text, data, "", "  "); err != nil {
			return err
		}
		fmt.Fprintf(&out, "\n[[prescription]]\njson = '''\n%s\n'''\n", strings.ReplaceAll(text.String(), "'''", `\u0027\u0027\u0027`))
	}
	if tasks := shared(t.Tasks); len(tasks) > 0 {
		out.WriteByte('\n')
		if err := preparation.Write(&out, tasks); err != nil {
			return err
		}
	}
	_, err := w.Write(out.Bytes())
	return err
}

// shared leaves out the tasks of single units, and what others say of them.
func shared(all []habitat.Task) (tasks []habitat.Task) {
	own := map[string]bool{}
	for i := range all {
		own[all[i].Name] = len(all[i].Units) > 0
	}
	for _, t := range all {
		if !own[t.Name] {
			t.After = slices.DeleteFunc(slices.Clone(t.After), func(name string) bool { return own[name] })
			tasks = append(tasks, t)
		}
	}
	return tasks
}
