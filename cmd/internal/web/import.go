package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/list"
	"emberquilt/habitat/source"
	"emberquilt/report/svgmap"
	"emberquilt/report/view"
)

// importWish says how files are taken, and whether they are.
type importWish struct {
	DryRun bool `json:"dry_run"`
	// If is the version of the data that the preview was made from; another one is
	// refused, so that nothing else comes in than what was shown.
	If string `json:"if_version"`
	// What is said of each file, by its name.
	Files    map[string]fileWish `json:"files"`
	Set      map[string]string   `json:"set"`
	Merge    bool                `json:"merge"`
	LeaveOut bool                `json:"leave_out"`
	CapAcres bool                `json:"cap_acres"`
	Doubles  string              `json:"doubles"`
	// Contracts settles what lists say of contracts that are there.
	Contracts string `json:"contracts"`
	Because   string `json:"because"`
}

// fileWish is what is said of one file.
type fileWish struct {
	Kind    string            `json:"kind"`
	As      map[string]string `json:"as"`
	Columns map[string]string `json:"columns"`
	Dates   string            `json:"dates"`
	System  string            `json:"system"`
}

// importAnswer shows what an import would do, or did.
type importAnswer struct {
	Files   []importFile   `json:"files"`
	Summary []string       `json:"summary"`
	Changes []importChange `json:"changes"`
	Notes   []string       `json:"notes"`
	LeftOut []string       `json:"left_out"`
	Changed bool           `json:"changed"`
	IsIdle  bool           `json:"idle"`
	Version string         `json:"data_version"`
	Fault   *fault         `json:"fault"`
	// Quoted holds the rows of which a fault says the file and line, as they stand.
	Quoted   []quotedRow   `json:"quoted"`
	Parts    *svgmap.Parts `json:"parts"`
	Kinds    []list.Kind   `json:"kinds"`
	Shapes   []list.Kind   `json:"shape_kinds"`
	MoreThan int           `json:"changes_not_shown"`
}

// importFile is one file and what it is taken for.
type importFile struct {
	File    string         `json:"file"`
	Kind    list.Kind      `json:"kind"`
	Told    string         `json:"told"`
	Rows    int            `json:"rows"`
	Headers []importHeader `json:"headers"`
	Columns []string       `json:"columns"`
	Unread  bool           `json:"unread"`
	Shapes  []list.Drawn   `json:"shapes"`
	Ignored []string       `json:"columns_not_used"`
}

// importHeader is a column of a file; Read is empty where it is not used.
type importHeader struct {
	Header string `json:"header"`
	Read   string `json:"read_as"`
}

// importChange is what becomes of one value.
type importChange struct {
	Kind   string   `json:"kind"`
	Action string   `json:"action"`
	Name   string   `json:"name"`
	Fields []string `json:"fields"`
	Why    string   `json:"why"`
}

// mostChanges is how many changes a preview lists.
const mostChanges = 500

// sidecars are parts of a shapefile, which is read through its .shp.
var sidecars = []string{".dbf", ".shx", ".prj", ".cpg", ".sbn", ".sbx", ".qix", ".qpj"}

// takeIn reads the files of a request, and previews them or takes them in.
func (p *property) takeIn(w http.ResponseWriter, r *http.Request) {
	folder, err := app.TemporaryFolder()
	if err != nil {
		writeFault(w, err)
		return
	}
	defer os.RemoveAll(folder)
	said, files, err := receive(r, folder)
	var wish importWish
	if err == nil && len(said) > 0 {
		err = strictly(said, &wish)
	}
	if err == nil && len(files) == 0 {
		err = &badRequestError{"no file was sent; accepts one or more"}
	}
	if err != nil {
		writeFault(w, err)
		return
	}
	answer, err := p.importFiles(context.WithoutCancel(r.Context()), wish, folder, files)
	if err != nil {
		writeFault(w, withoutFolder(err, folder))
		return
	}
	writeJSON(w, http.StatusOK, answer)
}

// mostFiles is how many files a form brings at most: a record of a file a year, or the
// parts of many shapefiles. Each is opened and looked at.
const mostFiles = 500

var errManyFiles = &badRequestError{fmt.Sprintf("more than %d files came; accepts up to %d at once", mostFiles, mostFiles)}

// receive streams the parts of a form to files of a folder, and gives what it says
// beside them. Names are those of the browser, without any folder.
func receive(r *http.Request, folder string) (wish json.RawMessage, files []string, err error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return wish, nil, &badRequestError{"the request is not a form with files"}
	}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return wish, files, nil
		}
		if err != nil {
			return wish, nil, err
		}
		if part.FormName() == "wish" {
			if wish, err = io.ReadAll(io.LimitReader(part, mostBody)); err != nil {
				return nil, nil, err
			}
			continue
		}
		if len(files) == mostFiles {
			return wish, nil, errManyFiles
		}
		name := plainName(part)
		if slices.Contains(files, name) {
			return wish, nil, &badRequestError{fmt.Sprintf("two files are named %q; accepts each once", name)}
		}
		if err := keep(part, filepath.Join(folder, name)); err != nil {
			return wish, nil, err
		}
		files = append(files, name)
	}
}

// plainName is the name of a sent file, fit for a file of any system.
func plainName(part *multipart.Part) string {
	name := strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`/\:*?"<>|`, r) {
			return '_'
		}
		return r
	}, part.FileName()) // the library has taken folders away
	if name = strings.Trim(name, ". "); name == "" {
		return "unnamed"
	}
	for len(name) > 120 {
		name = name[len(name)-120:]
	}
	return strings.ToValidUTF8(name, "_")
}

func keep(r io.Reader, path string) error {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(file, r)
	return errors.Join(err, file.Close())
}

// importFiles reads files of a folder and holds them against the property.
func (p *property) importFiles(ctx context.Context, wish importWish, folder string, files []string) (*importAnswer, error) {
	answer := &importAnswer{
		Files:   []importFile{},
		Summary: []string{},
		Changes: []importChange{},
		Notes:   []string{},
		LeftOut: []string{},
		Quoted:  []quotedRow{},
		Kinds:   list.Kinds(),
		Shapes:  list.ShapeKinds(),
	}
	var units []string
	if err := p.read(ctx, func(s *app.Session) error { units = s.UnitNames(); return nil }); err != nil {
		return nil, err
	}
	var inputs []list.Input
	for _, name := range files {
		if isSidecar(name, files) {
			continue
		}
		said := wish.Files[name]
		o := list.Options{Kind: list.Kind(said.Kind), As: list.AsNamed(said.As), Columns: said.Columns, Dates: list.DateForm(said.Dates), System: said.System,
			Set: wish.Set, Merge: wish.Merge, LeaveOut: wish.LeaveOut, CapAcres: wish.CapAcres}
		inputs = append(inputs, list.Input{Name: filepath.Join(folder, name), Options: o})
	}
	read, faults := list.ReadAll(ctx, inputs, units)
	var lists []*list.List
	for i, in := range inputs {
		one := importFile{File: filepath.Base(in.Name), Shapes: []list.Drawn{}, Headers: []importHeader{}, Columns: []string{}, Ignored: []string{}}
		if l := read[i]; faults[i] != nil {
			one.Unread = true
		} else {
			one.Kind, one.Told, one.Rows = l.Kind, l.Told, l.Rows()
			one.Ignored = append(one.Ignored, l.Ignored...)
			lists = append(lists, l)
		}
		if read[i] != nil {
			one.Shapes = append(one.Shapes, read[i].Drawn...)
		}
		if heading := list.HeadingOf(in.Name, in.Options); heading != nil {
			if one.Kind == "" {
				one.Kind = heading.Kind
			}
			one.Columns = append(one.Columns, list.ColumnsOf(one.Kind)...)
			for i, h := range heading.Headers {
				read := heading.Reads[i]
				if !slices.Contains(one.Columns, read) || slices.Contains(one.Ignored, h) {
					read = ""
				}
				one.Headers = append(one.Headers, importHeader{h, read})
			}
		}
		answer.Files = append(answer.Files, one)
	}
	if err := errors.Join(faults...); err != nil {
		answer.refused(err, folder)
		answer.quote(folder, files)
		return answer, nil
	}
	ask := app.ImportOptions{Lists: lists, What: strings.Join(files, ", "), Doubles: list.Doubles(wish.Doubles), Contracts: list.Differing(wish.Contracts), DryRun: wish.DryRun,
		Because: wish.Because}
	var plan *list.Plan
	do := func(s *app.Session) (err error) {
		if !wish.DryRun && wish.If != "" && wish.If != s.Stamp().Data {
			return &staleError{}
		}
		plan, err = s.Import(ctx, ask)
		answer.Version = s.Stamp().Data
		return err
	}
	run := p.read
	if !wish.DryRun {
		run = p.change
	}
	if err := run(ctx, do); err != nil {
		answer.refused(err, folder)
		answer.quote(folder, files)
		return answer, nil
	}
	answer.tell(plan, wish.DryRun)
	for i, note := range answer.Notes {
		answer.Notes[i] = strings.ReplaceAll(note, folder+string(filepath.Separator), "")
	}
	return answer, nil
}

// staleError says that a command changed the property after the preview.
type staleError struct{}

func (*staleError) Error() string {
	return "the property changed after this was shown; nothing was imported; what it would do now is shown anew"
}

func isSidecar(name string, files []string) bool {
	end := strings.ToLower(filepath.Ext(name))
	if !slices.Contains(sidecars, end) {
		return false
	}
	base := strings.TrimSuffix(name, filepath.Ext(name))
	return slices.ContainsFunc(files, func(f string) bool { return strings.EqualFold(f, base+".shp") })
}

// refused puts what is wrong into the answer: beside it stand the files.
func (a *importAnswer) refused(err error, folder string) {
	f, _ := newFault(withoutFolder(err, folder))
	a.Fault = &f
}

// quotedRow is a row of a file of text.
type quotedRow struct {
	File string `json:"file"`
	Line int    `json:"line"`
	Text string `json:"text"`
}

// longestQuote bounds the runes of a row that is shown.
const longestQuote = 300

// quote puts the rows into the answer of which a fault tells the line.
func (a *importAnswer) quote(folder string, files []string) {
	lines := map[string][]string{}
	for _, e := range a.Fault.Errors {
		if e.Line == 0 || !slices.Contains(files, e.File) || slices.ContainsFunc(a.Quoted, func(q quotedRow) bool { return q.File == e.File && q.Line == e.Line }) {
			continue
		}
		if _, isRead := lines[e.File]; !isRead {
			data, err := os.ReadFile(filepath.Join(folder, e.File))
			if text, _ := source.Decode(data); err == nil && utf8.Valid(text) && !slices.Contains(text, 0) {
				lines[e.File] = strings.Split(string(text), "\n")
			} else {
				lines[e.File] = nil // a workbook, or no text
			}
		}
		if all := lines[e.File]; e.Line <= len(all) {
			row := []rune(strings.TrimRight(all[e.Line-1], "\r"))
			a.Quoted = append(a.Quoted, quotedRow{e.File, e.Line, string(row[:min(len(row), longestQuote)])})
		}
	}
}

// withoutFolder takes the folder in which sent files lie out of what is said of them.
func withoutFolder(err error, folder string) error {
	for _, one := range everyFault(err) {
		one.File = strings.TrimPrefix(one.File, folder+string(filepath.Separator))
		one.Found = strings.ReplaceAll(one.Found, folder+string(filepath.Separator), "")
	}
	return err
}

func everyFault(err error) []*source.Error {
	var faults *source.List
	var one *source.Error
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []*source.Error
		for _, e := range joined.Unwrap() {
			all = append(all, everyFault(e)...)
		}
		return all
	}
	switch {
	case errors.As(err, &faults):
		return faults.Errors
	case errors.As(err, &one):
		return []*source.Error{one}
	}
	return nil
}

// tell says what a plan of an import does.
func (a *importAnswer) tell(plan *list.Plan, isDry bool) {
	a.Summary = append(a.Summary, plan.Summary()...)
	a.IsIdle, a.Changed = plan.IsIdle(), !isDry && !plan.IsIdle()
	drawn := view.Map{}
	for _, c := range plan.Changes {
		if c.Shape != nil && c.Unit != nil {
			drawn.Units = append(drawn.Units, view.MapUnit{Unit: c.Unit.ID, Shape: *c.Shape})
		}
		if c.Place != nil {
			drawn.Places = append(drawn.Places, *c.Place)
		}
		if c.Standing != nil {
			drawn.Standing = append(drawn.Standing, c.Standing.Lines...)
		}
		if c.Action == list.Same {
			continue
		}
		if len(a.Changes) == mostChanges {
			a.MoreThan++
			continue
		}
		one := importChange{Kind: string(c.Kind), Action: string(c.Action), Name: c.Name, Why: c.Why, Fields: []string{}}
		for _, f := range c.Fields {
			one.Fields = append(one.Fields, f.String())
		}
		a.Changes = append(a.Changes, one)
	}
	if len(drawn.Units) > 0 {
		a.Parts = svgmap.NewParts(&svgmap.Sheet{Map: drawn, Width: mapWidth})
	}
	for _, n := range plan.Notes {
		a.Notes = append(a.Notes, n.String())
	}
	for _, e := range plan.LeftOut.Errors {
		a.LeftOut = append(a.LeftOut, e.Error())
	}
}
