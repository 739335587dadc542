package web

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/county"
	"emberquilt/habitat/source"
	"emberquilt/habitat/template"
	"emberquilt/report/svgmap"
	"emberquilt/report/view"
)

// first is a first run under way: what the form holds, in memory alone. It survives
// a reload of the page; nothing of it is stored before the last step.
type first struct {
	mu    sync.Mutex
	form  app.FirstForm
	files map[string][]byte
	// template is the county template that was dropped; nil for none.
	template *template.Template
}

// forget goes back to no answer at all.
func (f *first) forget() { f.form, f.files, f.template = app.FirstForm{}, nil, nil }

// mostFirstFiles bounds what is kept of dropped files.
const mostFirstFiles = mostImported

// firstState is what the screen of a first run shows.
type firstState struct {
	Questions []app.Question `json:"questions"`
	Form      app.FirstForm  `json:"form"`
	// Files are those that were dropped.
	Files []string `json:"files"`
	// Template says which county template is laid over the answers; empty for none.
	Template string `json:"template"`
	// Faults stand beside their questions; Fault is of all answers together.
	Faults  []app.FirstFault `json:"faults"`
	Fault   *fault           `json:"fault"`
	Missing []string         `json:"missing"`
	// Says tells what will be made, File of what name.
	Says     []string      `json:"says"`
	File     string        `json:"file"`
	Parts    *svgmap.Parts `json:"parts"`
	Place    *firstPlace   `json:"place"`
	Cautions []string      `json:"cautions"`
}

// firstPlace is where the ground lies so far.
type firstPlace struct {
	Latitude  float64 `json:"latitude"`
	Longitude float64 `json:"longitude"`
}

// firstRun registers what the first run asks. Only who serves a folder can make a
// property in it.
func (s *Server) firstRun(mux *http.ServeMux) {
	// What a request brings is read before the lock is taken: one that stops halfway
	// holds up nobody.
	within := func(read func(r *http.Request) (change func() error, err error)) http.HandlerFunc {
		return func(w http.ResponseWriter, r *http.Request) {
			var answer any
			var change func() error
			err := error(&unknownError{"this page shows one property file; started for a folder, it makes new ones"})
			if s.options.Folder != "" {
				change, err = read(r)
			}
			if err == nil {
				answer, err = s.changeFirst(change)
			}
			if err != nil {
				writeFault(w, err)
				return
			}
			writeJSON(w, http.StatusOK, answer)
		}
	}
	mux.HandleFunc("GET /api/first", within(func(*http.Request) (func() error, error) { return func() error { return nil }, nil }))
	mux.HandleFunc("GET /api/first/counties", func(w http.ResponseWriter, _ *http.Request) { writeJSON(w, http.StatusOK, countyDots()) })
	mux.HandleFunc("POST /api/first", within(func(r *http.Request) (func() error, error) {
		var form app.FirstForm
		err := decode(r, &form)
		return func() error { s.first.form = form; return nil }, err
	}))
	mux.HandleFunc("POST "+firstFiles, within(func(r *http.Request) (func() error, error) {
		question, files, err := receiveFirst(r)
		return func() error { return s.first.keep(question, files) }, err
	}))
	mux.HandleFunc("POST /api/first/forget", within(func(*http.Request) (func() error, error) {
		return func() error { s.first.forget(); return nil }, nil
	}))
	mux.HandleFunc("POST /api/first/no-template", within(func(*http.Request) (func() error, error) {
		return func() error { s.first.template = nil; return nil }, nil
	}))
	mux.HandleFunc("POST /api/first/begin", s.beginFirst)
}

// changeFirst changes what the form holds, and says what it comes to.
func (s *Server) changeFirst(change func() error) (*firstState, error) {
	s.first.mu.Lock()
	defer s.first.mu.Unlock()
	if err := change(); err != nil {
		return nil, err
	}
	return s.firstState()
}

// firstFiles is where files of a first run are sent.
const firstFiles = "/api/first/files"

// take answers what the form holds.
func (f *first) take() (*app.FirstRun, []app.FirstFault) {
	run := app.NewFirstRun("")
	run.Template = f.template
	run.ReadFile = func(name string) ([]byte, error) {
		if data, ok := f.files[name]; ok {
			return data, nil
		}
		return nil, &source.Error{Position: source.Position{File: name}, Found: "no file of this name was dropped here", Accepts: "a file that is dropped or chosen"}
	}
	return run, run.Take(&f.form)
}

// firstState says what the answers come to. The caller holds the lock.
func (s *Server) firstState() (*firstState, error) {
	from, err := s.options.Environment()
	if err != nil {
		return nil, err
	}
	run, faults := s.first.take()
	state := &firstState{
		Questions: run.Questions(),
		Form:      s.first.form,
		Files:     slices.AppendSeq([]string{}, maps.Keys(s.first.files)),
		Faults:    faults,
		Missing:   run.Missing(),
		Says:      []string{},
		Cautions:  view.Cautions(),
	}
	slices.Sort(state.Files)
	if s.first.template != nil {
		state.Template = s.first.template.Words()
	}
	if at, ok := run.Place(); ok {
		state.Place = &firstPlace{at.Latitude, at.Longitude}
	}
	if len(state.Missing) > 0 || len(faults) > 0 {
		return state, nil
	}
	d, err := run.Draft(from)
	if err != nil {
		f, _ := newFault(err)
		state.Fault = &f
		return state, nil
	}
	state.Says, state.File = d.Says, app.FirstFile(d.Property.Name)+extension
	if m := d.Ground(); len(m.Units) > 0 {
		state.Parts = svgmap.NewParts(&svgmap.Sheet{Map: m, Width: mapWidth})
	}
	if err := s.absent(state.File); err != nil {
		f, _ := newFault(err)
		state.Fault = &f
	}
	return state, nil
}

// absent refuses the name of a property that is there.
func (s *Server) absent(file string) error {
	if _, err := os.Lstat(filepath.Join(s.options.Folder, file)); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return &app.OptionError{Option: "name", Found: fmt.Sprintf("there is a property file %s already", file), Accepts: "a name of its own"}
}

// receiveFirst reads dropped files into memory, and for which question they are.
func receiveFirst(r *http.Request) (question string, got map[string][]byte, err error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return "", nil, &badRequestError{"the request is not a form with files"}
	}
	got = map[string][]byte{}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return "", nil, err
		}
		if part.FormName() == "question" {
			text, err := io.ReadAll(io.LimitReader(part, 100))
			if err != nil {
				return "", nil, err
			}
			question = string(text)
			continue
		}
		if len(got) == mostFiles {
			return "", nil, errManyFiles
		}
		if err := readPart(part, got); err != nil {
			return "", nil, err
		}
	}
	if len(got) == 0 {
		return "", nil, &badRequestError{"no file was sent; accepts one or more"}
	}
	return question, got, nil
}

// keep keeps dropped files. The parts of a shapefile become one file.
func (f *first) keep(question string, got map[string][]byte) error {
	if question == templateFile {
		t, err := templateOf(got)
		if err == nil {
			f.template = t
		}
		return err
	}
	all := app.NewFirstRun("").Questions()
	at := slices.IndexFunc(all, func(q app.Question) bool { return q.Key == question && q.TakesFile })
	if at < 0 {
		return &badRequestError{fmt.Sprintf("%q is not a question that takes files", question)}
	}
	asked := &all[at]
	got, err := bundled(got)
	if err != nil {
		return err
	}
	total := 0
	for name, data := range f.files {
		if _, isNew := got[name]; !isNew {
			total += len(data)
		}
	}
	for _, data := range got {
		total += len(data)
	}
	if total > mostFirstFiles {
		return &badRequestError{fmt.Sprintf("the files together are larger than %d MB; import the large ones afterwards", mostFirstFiles>>20)}
	}
	if f.files == nil {
		f.files = map[string][]byte{}
	}
	if f.form.Answers == nil {
		f.form.Answers = map[string][]string{}
	}
	if !asked.Repeats {
		f.form.Answers[question] = nil
	}
	for _, name := range slices.Sorted(maps.Keys(got)) {
		f.files[name] = got[name]
		if !slices.Contains(f.form.Answers[question], name) {
			f.form.Answers[question] = append(f.form.Answers[question], name)
		}
	}
	return nil
}

// templateFile is for what a county template is sent.
const templateFile = "template"

// templateOf reads the one file that was sent as a county template.
func templateOf(files map[string][]byte) (*template.Template, error) {
	if len(files) > 1 {
		return nil, &badRequestError{fmt.Sprintf("%d files were sent; accepts one county template", len(files))}
	}
	for name, data := range files {
		return template.Read(bytes.NewReader(data), name)
	}
	return nil, &badRequestError{"no file was sent; accepts one county template"}
}

func readPart(part *multipart.Part, into map[string][]byte) error {
	name := plainName(part)
	data, err := io.ReadAll(part)
	if err != nil {
		return err
	}
	into[name] = data
	return nil
}

// bundled packs each shapefile with the files beside it into one, which is read whole.
func bundled(files map[string][]byte) (map[string][]byte, error) {
	all := slices.Sorted(maps.Keys(files))
	for _, name := range all {
		end := filepath.Ext(name)
		if !strings.EqualFold(end, ".shp") {
			continue
		}
		base := strings.TrimSuffix(name, end)
		var b bytes.Buffer
		w := zip.NewWriter(&b)
		for _, other := range all {
			if other != name && !(isSidecar(other, []string{name}) && strings.EqualFold(strings.TrimSuffix(other, filepath.Ext(other)), base)) {
				continue
			}
			part, err := w.Create(other)
			if err == nil {
				_, err = part.Write(files[other])
			}
			if err != nil {
				return nil, err
			}
			delete(files, other)
		}
		if err := w.Close(); err != nil {
			return nil, err
		}
		files[base+".zip"] = b.Bytes()
	}
	return files, nil
}

// beginFirst makes the property and its first plan; all of it comes to be at once.
func (s *Server) beginFirst(w http.ResponseWriter, r *http.Request) {
	id, err := s.makeFirst(context.WithoutCancel(r.Context()))
	if err != nil {
		writeFault(w, err)
		return
	}
	writeJSON(w, http.StatusOK, map[string]string{"id": id})
}

func (s *Server) makeFirst(ctx context.Context) (id string, err error) {
	if s.options.Folder == "" {
		return "", &unknownError{"this page shows one property file; started for a folder, it makes new ones"}
	}
	s.first.mu.Lock()
	defer s.first.mu.Unlock()
	run, faults := s.first.take()
	if len(faults) > 0 {
		all := &source.List{}
		for _, f := range faults {
			for _, e := range f.Errors {
				all.Add(&source.Error{Position: source.Position{File: e.File, Line: e.Line, Field: e.Field}, Found: e.Found, Accepts: e.Accepts, Hint: e.Hint})
			}
		}
		return "", all
	}
	from, err := s.options.Environment()
	if err != nil {
		return "", err
	}
	from.Progress = s.tellProgress("first", "")
	d, err := run.Draft(from)
	if err != nil {
		return "", err
	}
	name := app.FirstFile(d.Property.Name)
	if err := s.absent(name + extension); err != nil {
		return "", err
	}
	begun, err := d.Begin(ctx, filepath.Join(s.options.Folder, name+extension), from)
	if err != nil {
		return "", err
	}
	if err := begun.Close(); err != nil {
		return "", err
	}
	s.first.forget()
	s.hub.publish(Event{Kind: "properties"})
	return name, nil
}

// countyDots gives the centers of all counties, for a drawing to point at.
func countyDots() [][2]float64 {
	all := make([][2]float64, 0, len(county.All()))
	for _, c := range county.All() {
		all = append(all, [2]float64{c.Latitude, c.Longitude})
	}
	return all
}
