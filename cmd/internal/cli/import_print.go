package cli

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/list"
	"emberquilt/habitat/pattern"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// shownChanges is how many changes of one import a person reads through.
const shownChanges = 40

// importDocument is the result of an import in JSON.
type importDocument struct {
	Files   []importedFile   `json:"files"`
	Summary []string         `json:"summary"`
	Changes []importedChange `json:"changes"`
	Notes   []string         `json:"notes"`
	LeftOut []string         `json:"left_out"`
	// LeftOutBy counts what was left out by its cause.
	LeftOutBy []leftOutCause `json:"left_out_by_cause"`
	Changed   bool           `json:"changed"`
}

type importedFile struct {
	File    string   `json:"file"`
	Kind    string   `json:"kind"`
	Told    string   `json:"told"`
	Rows    int      `json:"rows"`
	Ignored []string `json:"columns_not_used"`
	// Shapes are those of a file with shapes; a table has none.
	Shapes []list.Drawn `json:"shapes,omitempty"`
}

type importedChange struct {
	Kind   string   `json:"kind"`
	Action string   `json:"action"`
	Name   string   `json:"name"`
	Fields []string `json:"fields,omitempty"`
	Why    string   `json:"why,omitempty"`
}

func describeImport(lists []*list.List, plan *list.Plan, dryRun bool) importDocument {
	doc := importDocument{Files: []importedFile{}, Summary: plan.Summary(), Notes: []string{}, LeftOut: []string{}, Changed: !dryRun && !plan.IsIdle()}
	for _, l := range lists {
		ignored := l.Ignored
		if ignored == nil {
			ignored = []string{}
		}
		doc.Files = append(doc.Files, importedFile{l.File, string(l.Kind), l.Told, l.Rows(), ignored, l.Drawn})
	}
	doc.Changes = make([]importedChange, 0, len(plan.Changes))
	for i := range plan.Changes {
		c := &plan.Changes[i]
		if c.Action == list.Same {
			continue
		}
		change := importedChange{Kind: string(c.Kind), Action: string(c.Action), Name: c.Name, Why: c.Why}
		for _, f := range c.Fields {
			change.Fields = append(change.Fields, f.String())
		}
		doc.Changes = append(doc.Changes, change)
	}
	for _, n := range plan.Notes {
		doc.Notes = append(doc.Notes, n.String())
	}
	for _, e := range plan.LeftOut.Errors {
		doc.LeftOut = append(doc.LeftOut, e.Error())
	}
	if plan.LeftOut.More > 0 {
		doc.LeftOut = append(doc.LeftOut, fmt.Sprintf("and %d more", plan.LeftOut.More))
	}
	doc.LeftOutBy = leftOutBy(plan)
	return doc
}

// leftOutCause is how often something was left out for one cause.
type leftOutCause struct {
	Column string `json:"column"`
	Cause  string `json:"cause"`
	Count  int    `json:"count"`
}

// isFeature knows the field of a shape, which names no column.
var isFeature = pattern.Lazy(`^feature [0-9]+( "|$)`)

// leftOutBy counts what was left out by its column and by what would have been
// accepted, the most frequent first.
func leftOutBy(plan *list.Plan) []leftOutCause {
	all := []leftOutCause{}
	for _, e := range plan.LeftOut.Errors {
		column := e.Position.Field
		switch {
		case column == "":
			column = "the row"
		case isFeature().MatchString(column): // each has a number of its own
			column = "the shape"
		}
		cause := "accepts " + e.Accepts
		if e.Accepts == "" {
			cause = "of a unit that was left out"
		}
		at := slices.IndexFunc(all, func(c leftOutCause) bool { return c.Column == column && c.Cause == cause })
		if at < 0 {
			at, all = len(all), append(all, leftOutCause{Column: column, Cause: cause})
		}
		all[at].Count++
	}
	slices.SortStableFunc(all, func(a, b leftOutCause) int { return b.Count - a.Count })
	return all
}

// printImport says what the files are, what changes, and what was odd.
func (a *terminal) printImport(lists []*list.List, plan *list.Plan, dryRun bool) error {
	doc := describeImport(lists, plan, dryRun)
	if a.json {
		return a.printJSON(doc)
	}
	for _, f := range doc.Files {
		fmt.Fprintf(a.Out, "%s: %s; %s\n", f.File, f.Told, quantity.Count(f.Rows, "row"))
		if len(f.Ignored) > 0 {
			fmt.Fprintf(a.Out, "%s: columns not used: %s\n", f.File, strings.Join(f.Ignored, ", "))
		}
	}
	for _, text := range doc.Notes {
		fmt.Fprintln(a.Out, "note:", text)
	}
	for i, text := range doc.LeftOut {
		if i == source.MaxShown {
			fmt.Fprintf(a.Out, "left out: and %d more; --json names all\n", len(doc.LeftOut)-i)
			break
		}
		fmt.Fprintln(a.Out, "left out:", text)
	}
	if len(doc.LeftOut) > 1 {
		for _, c := range doc.LeftOutBy {
			fmt.Fprintf(a.Out, "left out by cause: %s, %s: %s\n", quantity.Count(c.Count, "time"), c.Column, c.Cause)
		}
	}
	printed := 0
	for _, c := range doc.Changes {
		if c.Action == string(list.Added) {
			continue // the summary counts them
		}
		if printed++; printed > shownChanges {
			continue
		}
		detail := strings.Join(c.Fields, "; ")
		if c.Why != "" {
			detail = c.Why
		}
		fmt.Fprintf(a.Out, "%s %s: %s\n", c.Action, c.Name, detail)
	}
	if printed > shownChanges {
		fmt.Fprintf(a.Out, "and %d more changes\n", printed-shownChanges)
	}
	for _, line := range doc.Summary {
		fmt.Fprintln(a.Out, line)
	}
	switch {
	case plan.IsIdle():
		fmt.Fprintln(a.Out, "nothing changes")
	case dryRun:
		fmt.Fprintln(a.Out, "nothing was changed: dry run")
	}
	return nil
}
