package web

import (
	"context"
	"crypto/sha256"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/pattern"
	"emberquilt/habitat/source"
	"emberquilt/report/page"
)

//go:embed static
var static embed.FS

// Paper is something that is written from a plan: one file.
type Paper struct {
	// File is its usual name, About says in one line what it is.
	File, About string
	Write       func(ctx context.Context, w io.Writer, c *app.Contents) error
	// Has reports whether there is something to write; nil for a paper that always has.
	Has func(c *app.Contents) bool
}

// Options say what is served.
type Options struct {
	// Path is a property file, or a folder of them.
	Path string
	// Port is 0 for any that is free.
	Port int
	// Environment gives date, clock and version at each request.
	Environment func() (app.Environment, error)
	// Papers are those that the page offers.
	Papers []Paper
	// WritePackets writes the packets of property files.
	WritePackets WritePackets
	// SentPapers gives the papers that go along when a property is handed over.
	SentPapers func(context.Context, *app.Session) ([]app.SentPaper, error)
	// Wanted writes the papers that are made for a season, a day, a wind or a unit.
	Wanted WritePapers
	// KeepName keeps the name of who makes changes on this machine, or forgets it where
	// it is empty; nil where none can be kept.
	KeepName func(name string) error
	// Idle is after what time without an open page Serve ends; 0 means never.
	Idle time.Duration
	// Claims is the folder in which servers say what they show; empty for the user's
	// cache.
	Claims string

	// File and Folder are Path, told apart.
	File, Folder string
	// alone is after what time without a page a solve is ended; 0 means a minute.
	alone time.Duration
	// pause is how long a request may send nothing of its body; 0 means mostPause.
	pause time.Duration
}

// Server serves the page.
type Server struct {
	options   Options
	token     string
	port      int
	listeners []net.Listener
	handler   http.Handler
	hub       *hub
	claims    *claims
	// base is the context of work that outlives its request; working counts it.
	base    context.Context
	stop    context.CancelFunc
	working sync.WaitGroup

	// shared is what sessions share that follow each other.
	shared app.Environment

	mu         sync.Mutex
	properties map[string]*property

	first first
	// packeting is held while packets are written.
	packeting sync.Mutex
}

// Listen opens the listeners of a server on the loopback addresses. A *ServedError
// says that another server shows the file already; a *source.Error that there is
// nothing to show.
func Listen(ctx context.Context, o Options) (*Server, error) {
	info, err := os.Stat(o.Path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, &source.Error{Position: source.Position{File: o.Path}, Found: "there is no such file or folder", Accepts: "a property file (*" + extension + "), or a folder"}
	case err != nil:
		return nil, err
	case info.IsDir():
		o.Folder = o.Path
	default:
		o.File = o.Path
	}
	if o.alone == 0 {
		o.alone = time.Minute
	}
	if o.pause == 0 {
		o.pause = mostPause
	}
	s := &Server{options: o, token: newToken(), hub: newHub(time.Now()), shared: app.Environment{}.ForMany(), properties: map[string]*property{}}
	first, err := net.Listen("tcp4", net.JoinHostPort("127.0.0.1", strconv.Itoa(o.Port)))
	if err != nil {
		return nil, cannotListen(o.Port, err)
	}
	s.listeners = []net.Listener{first}
	s.port = first.Addr().(*net.TCPAddr).Port
	// Where the machine knows it, the same port of the other loopback address.
	if second, err := net.Listen("tcp6", net.JoinHostPort("::1", strconv.Itoa(s.port))); err == nil {
		s.listeners = append(s.listeners, second)
	}
	s.base, s.stop = context.WithCancel(context.WithoutCancel(ctx))
	if s.claims, err = newClaims(o.Claims, s.Address()); err != nil {
		s.claims = nil // nowhere to claim
	}
	if o.Folder != "" {
		if err := s.claims.take(ctx, o.Folder); err != nil {
			s.close()
			return nil, err
		}
	}
	if o.File != "" {
		p, err := s.find(propertyID(o.File))
		if err == nil {
			err = s.claims.inFolder(ctx, o.File)
		}
		if err == nil {
			err = p.read(ctx, func(*app.Session) error { return nil })
		}
		if err != nil {
			s.close()
			return nil, err
		}
	}
	s.handler = s.routes()
	return s, nil
}

func cannotListen(port int, err error) error {
	if port != 0 {
		return &source.Error{
			Position: source.Position{File: "--port"},
			Found:    fmt.Sprintf("cannot listen on port %d: %v", port, rootCause(err)),
			Accepts:  "a free port from 1024 to 65535; or leave it out, for any that is free",
		}
	}
	return fmt.Errorf("cannot listen on this machine's own address 127.0.0.1: %w", rootCause(err))
}

// rootCause leaves out which call failed.
func rootCause(err error) error {
	var call *os.SyscallError
	if errors.As(err, &call) {
		return call.Err
	}
	return err
}

// Address is where the page is, with the token that lets a browser in.
func (s *Server) Address() string {
	return fmt.Sprintf("http://127.0.0.1:%d/?token=%s", s.port, s.token)
}

// Serve answers until the context ends, and then lets what is under way come to its
// end.
func (s *Server) Serve(ctx context.Context) error {
	server := &http.Server{
		Handler:           s.handler,
		ReadHeaderTimeout: 5 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    mostHeader,
		BaseContext:       func(net.Listener) context.Context { return s.base },
		ErrorLog:          log.New(io.Discard, "", 0), // connections that browsers drop are no news
	}
	failed := make(chan error, len(s.listeners))
	for _, l := range s.listeners {
		go func() { failed <- server.Serve(l) }()
	}
	watching := make(chan struct{})
	go func() { defer close(watching); s.watch() }()
	var err error
	select {
	case <-ctx.Done():
	case err = <-failed:
	case <-s.unused():
	}
	s.stop()
	end, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	server.Shutdown(end)
	server.Close()
	<-watching
	s.working.Wait()
	s.close()
	return err
}

// unused is closed when no page was open for the time that the options allow.
func (s *Server) unused() <-chan struct{} {
	over := make(chan struct{})
	if s.options.Idle == 0 {
		return over
	}
	go func() {
		tick := time.NewTicker(s.options.Idle / 8)
		defer tick.Stop()
		for {
			select {
			case <-s.base.Done():
				return
			case <-tick.C:
				if since, isAlone := s.hub.since(); isAlone && time.Since(since) > s.options.Idle {
					close(over)
					return
				}
			}
		}
	}()
	return over
}

// watched is how often the open files are looked at.
const watched = time.Second

func (s *Server) watch() {
	tick := time.NewTicker(watched)
	defer tick.Stop()
	for {
		select {
		case <-s.base.Done():
			return
		case <-tick.C:
		}
		s.mu.Lock()
		all := make([]*property, 0, len(s.properties))
		for _, p := range s.properties {
			all = append(all, p)
		}
		s.mu.Unlock()
		for _, p := range all {
			spared(func() error { p.watch(s.base); return nil })
		}
	}
}

func (s *Server) close() {
	for _, l := range s.listeners {
		l.Close()
	}
	s.claims.release()
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, p := range s.properties {
		p.mu.Lock()
		p.close()
		p.mu.Unlock()
	}
	s.stop()
}

// routes are all that is answered.
func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	s.api(mux)
	files, err := fs.Sub(static, "static")
	if err != nil {
		panic("web: " + err.Error())
	}
	mux.Handle("GET /static/", http.StripPrefix("/static/", http.FileServerFS(files)))
	mux.HandleFunc("GET /static/echarts.min.js", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
		w.Header().Set("Cache-Control", "private, max-age=86400")
		io.WriteString(w, page.Library())
	})
	documents, folder := documentsOf(files)
	kept := http.StripPrefix(folder, http.FileServerFS(files))
	mux.HandleFunc("GET "+folder, func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "private, max-age=31536000, immutable") // its name tells what it holds
		kept.ServeHTTP(w, r)
	})
	shell := func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		s.readAhead(r)
		document, isKnown := documents[s.screenAt(r)]
		if !isKnown {
			document = documents[""]
		}
		w.Write(document)
	}
	mux.HandleFunc("GET /{$}", shell)
	mux.HandleFunc("GET /clients", shell)
	mux.HandleFunc("GET /first", shell)
	mux.HandleFunc("GET /p/{id}/{screen}", shell)
	return &guard{token: s.token, port: s.port, pause: s.options.pause, next: http.NewCrossOriginProtection().Handler(mux)}
}

// screenAt names the screen that an address shows, as app.js does; empty for one that
// is not known.
func (s *Server) screenAt(r *http.Request) string {
	if screen := r.PathValue("screen"); screen != "" {
		return screen
	}
	if r.URL.Path != "/" {
		return strings.TrimPrefix(r.URL.Path, "/")
	}
	switch len(s.files()) {
	case 0:
		return "first"
	case 1:
		return "season"
	}
	return "clients"
}

// imported finds what a module imports.
var imported = pattern.Lazy(`from ?"(\.[^"]+)"`)

// documentsOf gives the document of each screen, and of none under the empty name, and
// the folder of the addresses in it, which is named by what the files hold: a browser
// keeps them until they change. A document names all modules that its screen needs, so
// that none waits for the one that imports it.
func documentsOf(files fs.FS) (documents map[string][]byte, folder string) {
	sum := sha256.New()
	imports := map[string][]string{} // by module
	documents = map[string][]byte{"": nil}
	err := fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := fs.ReadFile(files, name)
		fmt.Fprintf(sum, "%s %d\n%s", name, len(text), text)
		if strings.HasSuffix(name, ".js") {
			imports[name] = nil
			for _, found := range imported().FindAllSubmatch(text, -1) {
				imports[name] = append(imports[name], path.Join(path.Dir(name), string(found[1])))
			}
			if screen, isScreen := strings.CutPrefix(name, "screens/"); isScreen {
				documents[strings.TrimSuffix(screen, ".js")] = nil
			}
		}
		return err
	})
	var document []byte
	if err == nil {
		document, err = fs.ReadFile(files, "page.html")
	}
	if err != nil {
		panic("web: " + err.Error())
	}
	folder = fmt.Sprintf("/static/%x/", sum.Sum(nil)[:8])
	const entry = `<script type="module"`
	for screen := range documents {
		var modules []string
		var need func(name string)
		need = func(name string) {
			if _, isThere := imports[name]; !isThere || slices.Contains(modules, name) {
				return
			}
			modules = append(modules, name)
			for _, one := range imports[name] {
				need(one)
			}
		}
		need("app.js")
		need("screens/" + screen + ".js")
		var ahead strings.Builder
		for _, name := range modules {
			fmt.Fprintf(&ahead, "<link rel=\"modulepreload\" href=\"/static/%s\">\n", name)
		}
		text := strings.Replace(string(document), entry, ahead.String()+entry, 1)
		documents[screen] = []byte(strings.ReplaceAll(text, "/static/", folder))
	}
	return documents, folder
}

// served names what the server shows, in words.
func (s *Server) served() string {
	if s.options.File != "" {
		return filepath.Base(s.options.File)
	}
	if whole, err := filepath.Abs(s.options.Folder); err == nil {
		return filepath.Base(whole)
	}
	return s.options.Folder
}
