package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/store"
)

// extension ends the names of property files.
const extension = app.Extension

// property is a property file that is served. What was computed of it is kept until
// its data, or the day, change.
type property struct {
	id, path string
	server   *Server

	mu    sync.Mutex
	store *store.Store
	// file is the one that is open, as it was when its seals were checked.
	file    fs.FileInfo
	session *app.Session
	// stamp and today are those of the session and of what follows from it.
	stamp    store.Stamp
	today    string
	contents map[int]*app.Contents
	answers  map[string][]byte
	// answersSize is how many bytes the answers have.
	answersSize int
	// ofPlan are the contents of the plan last shown, without windows and tasks.
	ofPlan       *app.Contents
	ofPlanNumber int
	// said is the last change that the open pages were told of.
	said store.Stamp

	solving solving
	// editor edits the property's plan; made at the first question.
	editor *app.Editor
}

// openStore opens a property file as one that changes it, or, where it cannot be
// written, as one that reads.
func openStore(ctx context.Context, path string) (*store.Store, error) {
	s, err := store.Open(ctx, path)
	if errors.Is(err, store.ErrReadOnly) || errors.Is(err, fs.ErrPermission) {
		return store.OpenToRead(ctx, path)
	}
	return s, err
}

// refresh opens the file where it is not open, and reads it where it is another or
// holds something new. The caller holds the lock.
func (p *property) refresh(ctx context.Context) error {
	info, err := os.Stat(p.path)
	if err != nil {
		p.close()
		return &unknownError{fmt.Sprintf("%s is not there any more", filepath.Base(p.path))}
	}
	if p.store != nil && !os.SameFile(info, p.file) {
		p.close()
	}
	if p.store == nil {
		if err := p.server.claims.take(ctx, p.path); err != nil {
			return err
		}
		if p.store, err = openStore(ctx, p.path); err != nil {
			return err
		}
		p.file = info
	}
	from, err := p.server.options.Environment()
	if err != nil {
		return err
	}
	from = from.Sharing(p.server.shared)
	// The seals are checked once for each version of the file, as its time and size tell
	// it; papers check them each time.
	if p.session == nil || !info.ModTime().Equal(p.file.ModTime()) || info.Size() != p.file.Size() {
		if err := app.CheckSeals(ctx, p.store); err != nil {
			p.close()
			return err
		}
		p.file = info
	}
	stamp, err := p.store.Stamp(ctx) // of tables that were found to be our own
	if err != nil {
		return err
	}
	if p.session == nil || stamp != p.stamp || from.Today.String() != p.today {
		session, err := app.NewSession(ctx, p.store, from)
		if err != nil {
			return err
		}
		p.session, p.stamp, p.today = session, session.Change.Stamp(), from.Today.String()
		p.contents, p.answers, p.answersSize, p.ofPlan = map[int]*app.Contents{}, map[string][]byte{}, 0, nil
	}
	p.session.Environment = from
	if p.said == "" {
		p.said = p.stamp
	}
	return nil
}

func (p *property) close() {
	if p.store != nil {
		p.store.Close()
	}
	p.store, p.session, p.contents, p.answers, p.ofPlan = nil, nil, nil, nil, nil
}

// read hands over the property as it is. What do is given must not leave it: the
// next change makes it old.
func (p *property) read(ctx context.Context, do func(*app.Session) error) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := p.refresh(ctx); err != nil {
		return err
	}
	return do(p.session)
}

// of gives what the papers of a plan show, computed once for each version of the
// data; 0 is the adopted plan. It belongs within read.
func (p *property) of(ctx context.Context, plan int) (*app.Contents, error) {
	if c := p.contents[plan]; c != nil {
		return c, nil
	}
	c, err := p.session.Contents(ctx, plan)
	if err != nil {
		return nil, err
	}
	if len(p.contents) > 4 {
		clear(p.contents)
	}
	p.contents[plan] = c
	return c, nil
}

// change hands over the property to change it; do is one transaction of the layer.
// All pages hear of it.
func (p *property) change(ctx context.Context, do func(*app.Session) error) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := p.refresh(ctx); err != nil {
		return err
	}
	err := do(p.session)
	// What was just written bears seals of this program: it is not checked anew.
	if info, gone := os.Stat(p.path); gone == nil && p.store != nil && os.SameFile(info, p.file) {
		p.file = info
	}
	p.tellChange(context.WithoutCancel(ctx))
	return err
}

// tellChange says to the pages what changed since they last heard. The caller holds
// the lock.
func (p *property) tellChange(ctx context.Context) {
	if p.store == nil {
		return
	}
	stamp, err := p.store.Stamp(ctx)
	if err != nil || stamp == p.said {
		return
	}
	before := p.said
	p.said = stamp
	all, err := p.store.Changes(ctx)
	if err != nil {
		return
	}
	var reasons []string
	for _, c := range slices.Backward(all) {
		if c.Stamp() == before || len(reasons) == mostReasons {
			break
		}
		reasons = append(reasons, c.Reason)
	}
	slices.Reverse(reasons)
	p.say("changed", map[string]any{"data_version": stamp, "reasons": reasons})
}

// mostReasons is how many changes are named when a page hears of them.
const mostReasons = 5

// watch looks whether a command changed the file; what is not open is not looked at.
func (p *property) watch(ctx context.Context) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.store == nil {
		return
	}
	if info, err := os.Stat(p.path); err != nil || !os.SameFile(info, p.file) {
		// Gone or replaced: pages read anew, and say what they find.
		p.close()
		p.said = ""
		p.say("changed", map[string]any{"data_version": "", "reasons": []string{"another file was put in its place"}})
		return
	}
	p.tellChange(ctx)
}

// say tells all pages something of this property.
func (p *property) say(kind string, data any) {
	p.server.hub.publish(Event{Kind: kind, Property: p.id, Data: data})
}

// answer writes what make computes as JSON, and keeps it under a key until the data
// change.
func (p *property) answer(w http.ResponseWriter, r *http.Request, key string, compute func(*app.Session) (any, error)) {
	var text []byte
	err := p.read(r.Context(), func(*app.Session) (err error) {
		text, err = p.known(key, compute)
		return err
	})
	if err != nil {
		writeFault(w, err)
		return
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Write(text)
}

// known gives the answer of a key, computed once. It belongs within read.
func (p *property) known(key string, compute func(*app.Session) (any, error)) ([]byte, error) {
	if text := p.answers[key]; text != nil {
		return text, nil
	}
	v, err := compute(p.session)
	if err != nil {
		return nil, err
	}
	text, err := compact(func(b *bytes.Buffer) error { return table.WriteJSON(b, v) })
	if err == nil {
		p.keepAnswer(key, text)
	}
	return text, err
}

// mostAnswers is how many bytes of answers a property keeps: those of all screens at
// 3,000 units and 20 years, and not one for each address that somebody makes up.
const mostAnswers = 64 << 20

func (p *property) keepAnswer(key string, text []byte) {
	size := len(key) + len(text)
	if p.answersSize+size > mostAnswers {
		clear(p.answers)
		p.answersSize = 0
	}
	p.answers[key] = text
	p.answersSize += size
}

// solving is the one place in which a property solves.
type solving struct {
	mu   sync.Mutex
	stop context.CancelFunc
	over chan struct{}
}

// solve runs do in place of the solve that is under way, which is ended first. It is
// ended itself when nobody has listened for a while.
func (p *property) solve(do func(ctx context.Context)) {
	ctx, stop := context.WithCancel(p.server.base)
	over := make(chan struct{})
	p.solving.mu.Lock()
	before, ended := p.solving.stop, p.solving.over
	p.solving.stop, p.solving.over = stop, over
	p.solving.mu.Unlock()
	if before != nil {
		before()
		<-ended
	}
	p.server.working.Add(1)
	go func() {
		defer p.server.working.Done()
		defer close(over)
		defer stop()
		go p.stopWhenAlone(ctx, stop)
		spared(func() error { do(ctx); return nil })
	}()
}

// stopSolve ends the solve that is under way.
func (p *property) stopSolve() {
	p.solving.mu.Lock()
	stop := p.solving.stop
	p.solving.mu.Unlock()
	if stop != nil {
		stop()
	}
}

func (p *property) stopWhenAlone(ctx context.Context, stop context.CancelFunc) {
	tick := time.NewTicker(p.server.options.alone / 8)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if since, isAlone := p.server.hub.since(); isAlone && time.Since(since) > p.server.options.alone {
				stop()
				return
			}
		}
	}
}

// propertyID names a file in addresses of the page.
func propertyID(path string) string { return strings.TrimSuffix(filepath.Base(path), extension) }

// find gives the property of a name: only files that this server was started for are
// known, so that no path comes from the browser.
func (s *Server) find(id string) (*property, error) {
	for _, path := range s.files() {
		if propertyID(path) != id {
			continue
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		p := s.properties[path]
		if p == nil {
			p = &property{id: id, path: path, server: s}
			s.properties[path] = p
		}
		return p, nil
	}
	return nil, &unknownError{fmt.Sprintf("there is no property %q here", id)}
}

// files lists the property files that are served, by name.
func (s *Server) files() []string {
	if s.options.Folder == "" {
		return []string{s.options.File}
	}
	entries, err := os.ReadDir(s.options.Folder) // sorted by name
	if err != nil {
		return nil
	}
	var all []string
	for _, entry := range entries {
		name := entry.Name()
		if !entry.IsDir() && strings.HasSuffix(name, extension) && name != extension && !strings.HasPrefix(name, ".") {
			all = append(all, filepath.Join(s.options.Folder, name))
		}
	}
	return all
}

// compact gives a table as the commands print it with --json.
func compact(write func(b *bytes.Buffer) error) (json.RawMessage, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
